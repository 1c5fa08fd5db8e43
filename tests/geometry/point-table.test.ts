import { describe, expect, it } from 'vitest';
import { distinctPoints, makePointTable, numberPoints, recordsOf } from '../../src/geometry/point-table.ts';
import { seededRandom } from '../helpers/random.ts';

function randomPoints(count: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length: 3 * count }, () => 100 * random() - 50);
}

const bytesOf = (numbers: Float32Array): Buffer =>
  Buffer.from(numbers.buffer, numbers.byteOffset, numbers.byteLength);

describe('distinct points', () => {
  it('keep every point of a loose cloud, whatever the table was made for', () => {
    for (let count = 1; count <= 130; count++) {
      const positions = randomPoints(count, count);
      for (const expected of [0, Math.ceil(count / 6), count]) {
        const table = makePointTable(expected);
        const number = new Uint32Array(count);
        numberPoints(table, recordsOf(positions), number, 0, count);
        expect(table.count).toBe(count);
        expect(Buffer.compare(bytesOf(distinctPoints(table)), bytesOf(positions))).toBe(0);
        expect(number.every((n, i) => n === i && table.first[n] === i)).toBe(true);
      }
    }
  });

  it('number repeated points by their first meeting, and take -0 for 0', () => {
    const positions = new Float32Array([0, 1, 2, -0, 1, 2, 3, 3, 3, 0, 1, 2, 3, 3, 3, 5, -0, 0]);
    const table = makePointTable(1);
    const number = new Uint32Array(6);
    numberPoints(table, recordsOf(positions), number, 0, 6);
    expect(Array.from(number)).toEqual([0, 0, 1, 0, 1, 2]);
    expect(Array.from(distinctPoints(table))).toEqual([0, 1, 2, 3, 3, 3, 5, 0, 0]);
    expect(Array.from(table.first.subarray(0, 3))).toEqual([0, 2, 5]);
  });

  it('with the origin among them, which looks like an empty place', () => {
    for (const before of [0, 1, 95, 96, 97, 200]) {
      const positions = new Float32Array([...randomPoints(before, 3), 0, 0, 0, 1, 1, 1, -0, 0, -0]);
      const table = makePointTable(1);
      const number = new Uint32Array(before + 3);
      numberPoints(table, recordsOf(positions), number, 0, before + 3);
      expect(Array.from(number.subarray(before))).toEqual([before, before + 1, before]);
      expect(table.count).toBe(before + 2);
    }
  });

  it.each([
    ['near repeats', 40],
    ['repeats from everywhere', 20_000],
  ])('agree with a table of printed coordinates: more points than the recent ones, %s', (_, reach) => {
    const random = seededRandom(5);
    // Whole numbers, whose last bits are all zero, and a walk over them that comes back.
    const positions = Float32Array.from({ length: 3 * 60_000 }, (_, i) => {
      const at = Math.max(0, Math.floor(i / 9) - Math.floor(reach * random()));
      return [at % 30, Math.floor(at / 30) % 30, Math.floor(at / 900)][i % 3]!;
    });
    const table = makePointTable(4000);
    const number = new Uint32Array(60_000);
    numberPoints(table, recordsOf(positions), number, 0, 60_000);
    const known = new Map<string, number>();
    const met: number[] = [];
    const wrong = Array.from(number).filter((found, i) => {
      const key = positions.subarray(3 * i, 3 * i + 3).join();
      if (!known.has(key)) {
        known.set(key, known.size);
        met.push(i);
      }
      return (
        found !== known.get(key) ||
        distinctPoints(table)
          .subarray(3 * found, 3 * found + 3)
          .join() !== key
      );
    });
    expect(wrong).toEqual([]);
    expect(Array.from(table.first.subarray(0, table.count))).toEqual(met);
    expect(table.count).toBe(known.size);
    expect(known.size).toBeGreaterThan(4096);
  });

  it('go on from one call to the next', () => {
    const positions = randomPoints(300, 7);
    const table = makePointTable(10);
    const number = new Uint32Array(300);
    for (const [from, to] of [
      [0, 1],
      [1, 120],
      [120, 300],
    ] as const)
      numberPoints(table, recordsOf(positions), number, from, to);
    expect(distinctPoints(table)).toEqual(positions);
  });
});
