import { type ChildProcess, spawn } from 'node:child_process';

/** The built page on a free port, by the project's own server with its headers. */
export function serveBuilt(): Promise<{ readonly server: ChildProcess; readonly url: string }> {
  const server = spawn(process.execPath, ['.ci/serve.mjs', '--port', '0'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return new Promise((done, fail) => {
    server.once('exit', () => fail(new Error('The server of the built page did not start.')));
    server.stdout.once('data', (line: Buffer) => {
      const url = /http\S+/.exec(line.toString())?.[0];
      if (url !== undefined) done({ server, url });
    });
  });
}
