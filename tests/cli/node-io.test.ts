import { existsSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { afterAll, describe, expect, it } from 'vitest';
import { makeNodeIo } from '../../src/cli/node-io.ts';

const folder = mkdtempSync(join(tmpdir(), 'archgap-io-'));
afterAll(() => rmSync(folder, { recursive: true }));

const { files } = makeNodeIo('0.0.0-test', new AbortController().signal, new URL('file:///none'));

/** Writes one content after another over a file, a piece at a time as programs do, until it is stopped. */
const WRITER = `
const { openSync, writeSync } = require('node:fs');
const { parentPort, workerData: { path, size } } = require('node:worker_threads');
const descriptor = openSync(path, 'r+');
parentPort.postMessage('begun');
for (let value = 1; ; value = (value + 1) % 256) {
  const piece = Buffer.alloc(65_536, value);
  for (let at = 0; at < size; at += piece.length) writeSync(descriptor, piece, 0, piece.length, at);
}`;

describe('folders of the system', () => {
  it('are named without the files beside them; none where there is no folder', () => {
    const inside = join(folder, 'some');
    mkdirSync(join(inside, 'one'), { recursive: true });
    mkdirSync(join(inside, 'two'));
    writeFileSync(join(inside, 'file'), '');
    expect([...files.foldersIn(inside)].sort()).toEqual(['one', 'two']);
    expect(files.foldersIn(join(folder, 'nowhere'))).toEqual([]);
  });

  it('tell their plain files, also by links, and apart from what is no folder', () => {
    const inside = join(folder, 'mixed');
    mkdirSync(join(inside, 'one'), { recursive: true });
    writeFileSync(join(inside, 'file'), '');
    symlinkSync(join(inside, 'file'), join(inside, 'link'));
    symlinkSync(join(inside, 'gone'), join(inside, 'dangling'));
    // One bad link does not keep the whole folder from being read.
    symlinkSync('loop', join(inside, 'loop'));
    expect([...files.filesIn(inside)!].sort()).toEqual(['file', 'link']);
    expect(files.filesIn(join(inside, 'one'))).toEqual([]);
    expect([files.filesIn(join(inside, 'file')), files.filesIn(join(inside, 'nowhere'))]).toEqual([
      null,
      null,
    ]);
  });

  it('a path is told as seen from one of them', () => {
    expect(files.from(join(folder, 'study'), join(folder, 'study', 'p', 's.ply'))).toBe('p/s.ply');
    expect(files.from(join(folder, 'study'), join(folder, 'scans', 's.ply'))).toBe('../scans/s.ply');
    expect(files.from(folder, folder)).toBeNull();
  });
});

describe('files of the system, read whole', () => {
  it('come byte for byte, also one whose size is said to be zero', async () => {
    const path = join(folder, 'still');
    const content = Uint8Array.from({ length: 300_000 }, (_, k) => (k * 37) % 251);
    writeFileSync(path, content);
    expect(Buffer.compare(await files.read(path), content)).toBe(0);
    writeFileSync(path, '');
    expect((await files.read(path)).length).toBe(0);
    expect(new TextDecoder().decode(await files.read('/proc/self/status'))).toContain('Name:');
  });

  it('are refused when they are written to meanwhile: half of each is nobody’s', async () => {
    const path = join(folder, 'written');
    const size = 1 << 24;
    writeFileSync(path, new Uint8Array(size));
    const writer = new Worker(WRITER, { eval: true, workerData: { path, size } });
    await new Promise((begun) => writer.once('message', begun));
    let code = '';
    // A write in the clock's step of the opening is not noticed: more than one reading may be needed.
    for (let reading = 0; reading < 200 && code === ''; reading += 1) {
      code = await files.read(path).then(
        () => '',
        (fault: { code: string }) => fault.code,
      );
    }
    await writer.terminate();
    expect(code).toBe('FILE_CHANGED');
  });
});

describe('a folder with its parents', () => {
  it('is made, and the topmost that was made is told', async () => {
    const deep = join(folder, 'a/b/c');
    expect(await files.makeFolder(deep)).toBe(join(folder, 'a'));
    expect(await files.makeFolder(deep)).toBeNull();
    expect(existsSync(deep)).toBe(true);
  });

  it('that cannot be made in its place says so and comes to an end', async () => {
    // Node's own way with parents never comes back from here.
    await expect(files.makeFolder('/proc/archgap-test/deep')).rejects.toMatchObject({ code: 'ENOENT' });
    const file = join(folder, 'a-file');
    writeFileSync(file, '');
    await expect(files.makeFolder(file)).rejects.toMatchObject({ code: 'EEXIST' });
    await expect(files.makeFolder(join(file, 'below'))).rejects.toMatchObject({ code: 'ENOTDIR' });
  });

  it('that cannot be made says why, though Node says of it that it is not there', async () => {
    // As on a read-only disk, of which a test cannot be sure: made with its parents it is ENOENT.
    const link = join(folder, 'dangling');
    symlinkSync(join(folder, 'nowhere/at/all'), link);
    await expect(files.makeFolder(join(link, 'x'))).rejects.toMatchObject({ code: 'EEXIST' });
  });
});
