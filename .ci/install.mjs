// Brings node_modules to what package-lock.json says; does nothing when it already is.
import { spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('..', import.meta.url));

/** Ends the process with one sentence. */
export function stop(sentence) {
  console.error(`archgap: ${sentence}`);
  process.exit(1);
}

/** Runs a command in the project's folder with its output shown; answers whether it succeeded. */
export function run(command, args, env = {}) {
  const result = spawnSync(command, args, { cwd: root, stdio: 'inherit', env: { ...process.env, ...env } });
  return result.status === 0;
}

/** Starts a command in the project's folder beside what follows; resolves to whether it succeeded and all it said. */
export function begin(command, args) {
  const child = spawn(command, args, { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] });
  let output = '';
  for (const stream of [child.stdout, child.stderr]) {
    stream.setEncoding('utf8');
    stream.on('data', (text) => {
      output += text;
    });
  }
  return new Promise((resolve) => {
    child.on('error', (error) => resolve({ ok: false, output: `${error.message}\n` }));
    child.on('close', (code) => resolve({ ok: code === 0, output }));
  });
}

export function ensureNode() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  if (major < 20 || (major === 20 && minor < 19)) {
    stop(`found Node ${process.versions.node}, expected 20.19 or newer; install Node 20 and run this again.`);
  }
}

export function ensurePackages() {
  const lock = createHash('sha256')
    .update(readFileSync(`${root}package-lock.json`))
    .digest('hex');
  const marker = `${root}node_modules/.archgap-lock`;
  if (existsSync(marker) && readFileSync(marker, 'utf8') === lock) return;
  console.log('Installing the packages that package-lock.json names ...');
  if (!run('npm', ['ci', '--no-audit', '--no-fund'])) {
    stop(
      'npm ci failed (its message stands above); check the connection to the package registry and run this again.',
    );
  }
  writeFileSync(marker, lock);
}

export function ensureBuild() {
  if (!run('npm', ['run', '--silent', 'build'])) stop('the build failed; its message stands above.');
}
