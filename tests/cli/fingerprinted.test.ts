import { describe, expect, it } from 'vitest';
import { fingerprinted } from '../../src/cli/fingerprinted.ts';
import { sha256 } from '../../src/scan/sha256.ts';

function fileOf(bytes: Uint8Array) {
  return fingerprinted({
    length: bytes.length,
    read: (from, to) => bytes.slice(from, to),
    close: () => {},
  });
}

describe('fingerprinted', () => {
  it('is the example of FIPS 180-4 for "abc"', () => {
    expect(fileOf(new TextEncoder().encode('abc')).sha256()).toBe(
      'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
    );
  });

  const bytes = Uint8Array.from({ length: 600_000 }, (_, k) => (k * k) % 253);

  it.each<[string, readonly (readonly [from: number, to: number])[]]>([
    [
      'in their order',
      [
        [0, 200_000],
        [200_000, 600_000],
      ],
    ],
    [
      'overlapping, as a head is read before the whole',
      [
        [0, 4096],
        [0, 84],
        [84, 300_000],
        [300_000, 600_000],
      ],
    ],
    [
      'with the end looked at before',
      [
        [0, 84],
        [599_000, 600_000],
        [84, 500_000],
      ],
    ],
    ['none of them', []],
    [
      'twice over',
      [
        [0, 600_000],
        [0, 600_000],
      ],
    ],
  ])('is that of the whole file when stretches were read %s', async (_, stretches) => {
    const file = fileOf(bytes);
    for (const [from, to] of stretches)
      expect(Buffer.compare(file.read(from, to), bytes.subarray(from, to))).toBe(0);
    const digest = await sha256(bytes);
    expect(file.sha256()).toBe(digest);
    expect(file.sha256()).toBe(digest);
  });
});
