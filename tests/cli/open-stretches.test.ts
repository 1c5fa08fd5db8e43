import { appendFileSync, mkdtempSync, rmSync, truncateSync, utimesSync, writeFileSync } from 'node:fs';
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

  it.each<[string, (path: string) => void, { now: number; sentence: RegExp }]>([
    [
      'became shorter',
      (path) => truncateSync(path, 500),
      { now: 500, sentence: /1000 bytes .* has 500 now/ },
    ],
    [
      'became longer',
      (path) => appendFileSync(path, bytes),
      { now: 2000, sentence: /1000 bytes .* has 2000 now/ },
    ],
    [
      'was written over, its length the same',
      (path) => writeFileSync(path, bytes.toReversed()),
      { now: 1000, sentence: /was written to while it was read/ },
    ],
  ])('refuses to go on when the file %s', (_, change, { now, sentence }) => {
    const path = fileOf(bytes, 'changing');
    // Long ago: what is written in the moment of the opening may carry the same time.
    utimesSync(path, 1000, 1000);
    const file = openStretches(path);
    expect(file.read(0, 600)).toEqual(bytes.subarray(0, 600));
    change(path);
    for (const to of [500, 1000]) {
      expect(faultOf(() => file.read(400, to))).toMatchObject({
        code: 'FILE_CHANGED',
        kind: 'input',
        message: expect.stringMatching(sentence),
        details: { length: 1000, now },
      });
    }
    file.close();
  });

  it('leaves the words of the operating system to whoever knows the file by name', () => {
    expect(faultCode(faultOf(() => openStretches(join(folder, 'absent'))))).toBe('ENOENT');
    expect(faultCode(faultOf(() => openStretches(folder)))).toBe('EISDIR');
  });

  it('reads whole what has no length before it ends', () => {
    const nothing = openStretches('/dev/null');
    expect(nothing.length).toBe(0);
    nothing.close();
    // A plain file whose size is said to be zero, made up as it is read.
    const madeUp = openStretches('/proc/self/status');
    expect(madeUp.length).toBeGreaterThan(0);
    expect(new TextDecoder().decode(madeUp.read(0, madeUp.length))).toContain('Name:');
    madeUp.close();
  });

  it('does not say that a file was written to whose length the system makes up', () => {
    const path = '/sys/devices/system/cpu/online';
    const madeUp = openStretches(path);
    expect(faultOf(() => madeUp.read(0, madeUp.length))).toMatchObject({
      code: 'FILE_NOT_READABLE',
      message: expect.stringMatching(
        /is said to have \d+ bytes and ends after \d+; copy it into a file of its own/,
      ),
    });
    madeUp.close();
  });

  it('refuses a device at its first byte: it may never end', () => {
    expect(faultCode(faultOf(() => openStretches('/dev/zero')))).toBe('FILE_IS_DEVICE');
  });

  it('refuses what is made up as it is read, when it is longer than told', () => {
    expect(faultCode(faultOf(() => openStretches('/proc/self/status', 100)))).toBe('ERR_FS_FILE_TOO_LARGE');
  });

  it('takes a file of the most bytes, and none of one more', () => {
    const path = fileOf(bytes, 'most');
    openStretches(path, 1000).close();
    expect(faultCode(faultOf(() => openStretches(path, 999)))).toBe('ERR_FS_FILE_TOO_LARGE');
  });
});
