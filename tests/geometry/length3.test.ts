import { describe, expect, it } from 'vitest';
import { length3 } from '../../src/geometry/length3.ts';
import { seededRandom } from '../../src/geometry/seeded-random.ts';

describe('length3', () => {
  it('gives the lengths of whole-numbered boxes exactly', () => {
    // Pythagorean quadruples.
    expect(length3(1, 2, 2)).toBe(3);
    expect(length3(-2, 3, 6)).toBe(7);
    expect(length3(0, 0, 0)).toBe(0);
    expect(length3(0, -4, 0)).toBe(4);
  });

  it('neither overflows nor vanishes', () => {
    expect(length3(3e200, 0, 4e200)).toBeCloseTo(5e200, -186);
    expect(length3(3e-200, 4e-200, 0) / 5e-200).toBeCloseTo(1, 14);
    expect(length3(Number.MIN_VALUE, 0, 0)).toBe(Number.MIN_VALUE);
  });

  it('is infinite with an infinite part, and else not a number with one that is none', () => {
    expect(length3(Number.NaN, -Infinity, 0)).toBe(Infinity);
    expect(length3(Infinity, 1, 2)).toBe(Infinity);
    expect(length3(1, Number.NaN, 2)).toBeNaN();
    expect(length3(0, Number.NaN, 0)).toBeNaN();
  });

  it('is the engine’s own hypot to the last bit, over many magnitudes', () => {
    const random = seededRandom(11);
    const part = () => (random() - 0.5) * 10 ** (12 * random() - 6);
    for (let k = 0; k < 200_000; k++) {
      const [x, y, z] = [part(), part(), part()];
      if (length3(x, y, z) !== Math.hypot(x, y, z))
        expect.fail(`${x} ${y} ${z}: ${length3(x, y, z)} and ${Math.hypot(x, y, z)}`);
    }
  });
});
