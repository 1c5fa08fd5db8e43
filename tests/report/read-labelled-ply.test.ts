import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { writeLabelledPly } from '../../src/report/labelled-ply.ts';
import { readLabelledPly } from '../../src/report/read-labelled-ply.ts';

const positions = Float32Array.from([0, 0, 0, 1.25, 0, 0, 0, 2.5, 0, 0, 0, 3]);
const triangles = Uint32Array.from([0, 1, 2, 0, 2, 3]);
const labels = Uint8Array.from([11, 0]);
const ZERO: Vec3 = [0, 0, 0];

describe('readLabelledPly', () => {
  it.each([
    ['plain', null, ZERO],
    ['with colours', Uint8Array.from({ length: 12 }, (_, i) => i), ZERO],
    ['far from its origin', null, [1e5, -2e5, 3e4] as Vec3],
  ])('gives back what was written, %s', (_, colors, originMm) => {
    const bytes = writeLabelledPly({ positions, triangles, colors, originMm }, labels);
    expect(readLabelledPly(bytes, originMm)).toEqual({ mesh: { positions, triangles }, labels });
    // As a view into a larger buffer, as files are read.
    const padded = new Uint8Array(bytes.length + 7);
    padded.set(bytes, 7);
    expect(readLabelledPly(padded.subarray(7), originMm).labels).toEqual(labels);
  });

  it('refuses anything else in a sentence', () => {
    const bytes = writeLabelledPly({ positions, triangles, colors: null, originMm: ZERO }, labels);
    const broken = (change: (copy: Uint8Array) => unknown): Uint8Array => {
      const copy = bytes.slice();
      change(copy);
      return copy;
    };
    const fromEnd = (back: number, value: number) =>
      broken((copy) => copy.fill(value, copy.length - back, copy.length - back + 1));
    const cases: [string, Uint8Array][] = [
      ['another layout', new TextEncoder().encode('ply\nformat ascii 1.0\nend_header\n')],
      ['another layout', new Uint8Array()],
      ['bytes instead of', bytes.subarray(0, bytes.length - 1)],
      ['a face it cannot have', fromEnd(1, 99)],
      ['a face it cannot have', fromEnd(14, 4)],
      ['a vertex it does not have', fromEnd(5, 200)],
      [
        'a coordinate that is no number',
        broken((copy) => {
          new DataView(copy.buffer).setFloat32(copy.length - 2 * 14 - 4, Number.NaN, true);
        }),
      ],
    ];
    for (const [found, file] of cases) {
      expect(() => readLabelledPly(file, ZERO)).toThrowError(
        new RegExp(
          `^The file labelled\\.ply .*${found}.*; expected the file that archgap measure writes\\.$`,
        ),
      );
    }
  });
});
