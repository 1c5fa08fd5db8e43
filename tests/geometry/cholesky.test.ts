import { CholeskyDecomposition, inverse, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { choleskyFactor, choleskyInverse, choleskySolve } from '../../src/geometry/cholesky.ts';
import { seededNormal } from '../helpers/random.ts';

describe('choleskyFactor, choleskySolve, choleskyInverse', () => {
  it('is the closed form for a 2 x 2 system', () => {
    const a = Float64Array.from([4, 2, 2, 5]);
    expect(choleskyFactor(a, 2)).toBe(true);
    expect([a[0], a[2], a[3]]).toEqual([2, 1, 2]);
    const b = Float64Array.from([8, 12]);
    choleskySolve(a, 2, b);
    expect([...b]).toEqual([1, 2]);
  });

  it('agrees with the general-purpose library ml-matrix on a random 15 x 15 system', () => {
    const normal = seededNormal(15);
    const m = new Matrix(15, 20).apply(function set(this: Matrix, i, j) {
      this.set(i, j, normal());
    });
    const spd = m.mmul(m.transpose());
    const a = Float64Array.from(spd.to1DArray());
    expect(choleskyFactor(a, 15)).toBe(true);
    const right = Array.from({ length: 15 }, () => normal());
    const x = Float64Array.from(right);
    choleskySolve(a, 15, x);
    const theirs = new CholeskyDecomposition(spd).solve(Matrix.columnVector(right)).to1DArray();
    for (let i = 0; i < 15; i += 1) expect(x[i]).toBeCloseTo(theirs[i]!, 9);
    const ours = choleskyInverse(a, 15);
    const expected = inverse(spd).to1DArray();
    for (let i = 0; i < 225; i += 1) expect(ours[i]).toBeCloseTo(expected[i]!, 9);
  });

  it('says when the matrix is not positive definite', () => {
    expect(choleskyFactor(Float64Array.from([1, 2, 2, 1]), 2)).toBe(false);
    expect(choleskyFactor(Float64Array.from([1, 1, 1, 1]), 2)).toBe(false);
    expect(choleskyFactor(Float64Array.from([Number.NaN]), 1)).toBe(false);
  });
});
