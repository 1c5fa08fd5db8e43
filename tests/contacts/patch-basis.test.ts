import { describe, expect, it } from 'vitest';
import { basisAt, basisSize, basisSlopesAt, polynomialAt } from '../../src/contacts/patch-basis.ts';

describe('patch basis', () => {
  it('lists the monomials row by row', () => {
    expect([basisSize(2), basisSize(4)]).toEqual([6, 15]);
    const out = new Float64Array(15);
    basisAt(4, 2, 3, out);
    expect([...out]).toEqual([1, 2, 3, 4, 6, 9, 8, 12, 18, 27, 16, 24, 36, 54, 81]);
    const some = new Float64Array(8);
    basisAt(2, 2, 3, some, 2);
    expect([...some]).toEqual([0, 0, 1, 2, 3, 4, 6, 9]);
  });

  it('slopes and second derivatives agree with differences of the value', () => {
    const c = Float64Array.from({ length: 15 }, (_, k) => Math.sin(k + 1));
    const [u, v, h] = [0.37, -0.21, 1e-4];
    const z = (a: number, b: number) => polynomialAt(4, c, a, b).z;
    const at = polynomialAt(4, c, u, v);
    expect(at.zu).toBeCloseTo((z(u + h, v) - z(u - h, v)) / (2 * h), 6);
    expect(at.zv).toBeCloseTo((z(u, v + h) - z(u, v - h)) / (2 * h), 6);
    expect(at.zuu).toBeCloseTo((z(u + h, v) - 2 * at.z + z(u - h, v)) / (h * h), 5);
    expect(at.zvv).toBeCloseTo((z(u, v + h) - 2 * at.z + z(u, v - h)) / (h * h), 5);
    const mixed = z(u + h, v + h) - z(u + h, v - h) - z(u - h, v + h) + z(u - h, v - h);
    expect(at.zuv).toBeCloseTo(mixed / (4 * h * h), 5);
    const byU = new Float64Array(15);
    const byV = new Float64Array(15);
    basisSlopesAt(4, u, v, byU, byV);
    expect(byU.reduce((s, x, k) => s + x * c[k]!, 0)).toBeCloseTo(at.zu, 12);
    expect(byV.reduce((s, x, k) => s + x * c[k]!, 0)).toBeCloseTo(at.zv, 12);
  });
});
