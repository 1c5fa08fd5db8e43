import { mkdtempSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { faultCode } from '../../src/cli/file-faults.ts';
import { openStretches } from '../../src/cli/open-stretches.ts';

const folder = mkdtempSync(join(tmpdir(), 'archgap-stretches-'));
afterAll(() => rmSync(folder, { recursive: true }));

const bytes = Uint8Array.from({ length: 1000 }, (_, k) => (k * 37) % 251);

function fileOf(content: Uint8Array, name: string): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

function faultOf(work: () => unknown): unknown {
  try {
    work();
  } catch (fault) {
    return fault;
  }
  throw new Error('Nothing was refused.');
}

describe('openStretches', () => {
  it('gives any stretch in any order', () => {
    const file = openStretches(fileOf(bytes, 'any'));
    expect(file.length).toBe(1000);
    for (const [from, to] of [
      [0, 4],
      [990, 1000],
      [0, 1000],
      [500, 500],
      [3, 700],
    ] as const) {
      expect(file.read(from, to)).toEqual(bytes.subarray(from, to));
    }
    file.close();
  });

  it('uses its memory again, so that a stretch holds until the next one', () => {
    const file = openStretches(fileOf(bytes, 'again'));
    const first = file.read(0, 100);
    const second = file.read(100, 150);
    expect(second.buffer).toBe(first.buffer);
    file.close();
  });

  it('refuses more than 2 GB before it reads any of it', () => {
    const path = fileOf(bytes, 'huge');
    // Sparse: it takes no room.
    truncateSync(path, 2 ** 31);
    expect(faultCode(faultOf(() => openStretches(path)))).toBe('ERR_FS_FILE_TOO_LARGE');
  });

  it('says so when the file became shorter', () => {
    const path = fileOf(bytes, 'shorter');
    const file = openStretches(path);
    file.read(0, 600);
    truncateSync(path, 500);
    expect(file.read(0, 500)).toEqual(bytes.subarray(0, 500));
    expect(faultOf(() => file.read(400, 600))).toMatchObject({
      code: 'FILE_CHANGED',
      kind: 'input',
      details: { length: 1000, left: 500 },
    });
    file.close();
  });

  it('leaves the words of the operating system to whoever knows the file by name', () => {
    expect(faultCode(faultOf(() => openStretches(join(folder, 'absent'))))).toBe('ENOENT');
    expect(faultCode(faultOf(() => openStretches(folder)))).toBe('EISDIR');
  });

  it('reads what is no plain file whole', () => {
    const file = openStretches('/dev/null');
    expect(file.length).toBe(0);
    file.close();
  });
});
