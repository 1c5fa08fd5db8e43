import { spawn, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { isPipe, readPipe } from '../../src/cli/read-pipe.ts';

const folder = mkdtempSync(join(tmpdir(), 'archgap-pipe-'));
afterAll(() => rmSync(folder, { recursive: true }));

const NEVER = new AbortController().signal;

function pipeOf(name: string): string {
  const path = join(folder, name);
  expect(spawnSync('sh', ['-c', 'mkfifo "$0"', path]).status).toBe(0);
  return path;
}

/** Writes into a pipe as another program does, and ends with it. */
function fill(pipe: string, script: string): Promise<void> {
  const writer = spawn('sh', ['-c', `(${script}) > "$0"`, pipe], { stdio: 'ignore' });
  return new Promise((done) => writer.on('close', () => done()));
}

describe('isPipe', () => {
  it('is true of what has to be waited for, and of nothing else', () => {
    const file = join(folder, 'file');
    writeFileSync(file, 'x');
    mkdirSync(join(folder, 'folder'));
    expect(isPipe(pipeOf('asked'))).toBe(true);
    expect([file, join(folder, 'folder'), join(folder, 'absent'), '/dev/null'].map(isPipe)).toEqual([
      false,
      false,
      false,
      false,
    ]);
  });
});

describe('readPipe', () => {
  it('reads to the end, whose bytes come little by little, of a writer that comes late', async () => {
    const content = new Uint8Array(300_000).map((_, k) => (k * 37) % 251);
    const source = join(folder, 'content');
    writeFileSync(source, content);
    const pipe = pipeOf('late');
    const read = readPipe(pipe, NEVER);
    const written = fill(pipe, `sleep 0.1; head -c 1000 '${source}'; sleep 0.1; tail -c +1001 '${source}'`);
    expect(Buffer.compare(await read, content)).toBe(0);
    await written;
  });

  it('of a writer that writes nothing, is empty', async () => {
    const pipe = pipeOf('empty');
    const read = readPipe(pipe, NEVER);
    await fill(pipe, ':');
    expect((await read).length).toBe(0);
  });

  it.each([
    ['nobody has opened the other end', null],
    ['the writer writes no more', 'printf 123; sleep 1'],
  ])('waits no longer when it is told to stop while %s', async (_, script) => {
    const pipe = pipeOf(`stopped-${script === null}`);
    const written = script === null ? null : fill(pipe, script);
    const stop = new AbortController();
    const read = readPipe(pipe, stop.signal);
    setTimeout(() => stop.abort(), 100);
    await expect(read).rejects.toMatchObject({ code: 'CANCELLED' });
    await expect(readPipe(pipe, stop.signal)).rejects.toMatchObject({ code: 'CANCELLED' });
    await written;
  });

  it('refuses what goes on after the most bytes, and takes those', async () => {
    const pipe = pipeOf('most');
    const endless = fill(pipe, 'cat /dev/zero');
    await expect(readPipe(pipe, NEVER, 100_000)).rejects.toMatchObject({ code: 'ERR_FS_FILE_TOO_LARGE' });
    await endless;
    const just = fill(pipe, 'head -c 1000 /dev/zero');
    expect((await readPipe(pipe, NEVER, 1000)).length).toBe(1000);
    await just;
  });
});
