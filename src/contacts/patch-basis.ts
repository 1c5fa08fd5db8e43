/**
 * Polynomials of two variables: value, first and second derivatives of all monomials u^i v^j with i + j <= degree, in
 * the order 1, u, v, u^2, uv, v^2, ... Arguments are scaled to the window (|u|, |v| <= 1) by the caller.
 */

/** Degrees in use: quartic walls, quadric as the fallback where few points are left. */
export type PatchDegree = 2 | 4;

/** Number of coefficients: 6 or 15. */
export function basisSize(degree: PatchDegree): number {
  return ((degree + 1) * (degree + 2)) / 2;
}

/** Writes the monomials at (u, v) to `out`, from place `at` on. */
export function basisAt(degree: PatchDegree, u: number, v: number, out: Float64Array, at = 0): void {
  // Each row of one total degree is the row before it times u, closed by one more power of v.
  out[at] = 1;
  let row = at;
  for (let total = 1; total <= degree; total += 1) {
    const next = row + total;
    for (let j = 0; j < total; j += 1) out[next + j] = out[row + j]! * u;
    out[next + total] = out[row + total - 1]! * v;
    row = next;
  }
}

/** Writes the derivatives by u and by v. */
export function basisSlopesAt(
  degree: PatchDegree,
  u: number,
  v: number,
  byU: Float64Array,
  byV: Float64Array,
): void {
  let k = 0;
  for (let total = 0; total <= degree; total += 1) {
    for (let j = 0; j <= total; j += 1) {
      const i = total - j;
      byU[k] = i === 0 ? 0 : i * u ** (i - 1) * v ** j;
      byV[k] = j === 0 ? 0 : j * u ** i * v ** (j - 1);
      k += 1;
    }
  }
}

/** A polynomial with its derivatives at one place. */
export interface PatchValue {
  readonly z: number;
  readonly zu: number;
  readonly zv: number;
  readonly zuu: number;
  readonly zuv: number;
  readonly zvv: number;
}

/** Value and derivatives of sum c_k u^i v^j. */
export function polynomialAt(
  degree: PatchDegree,
  coefficients: Float64Array,
  u: number,
  v: number,
): PatchValue {
  let z = 0;
  let zu = 0;
  let zv = 0;
  let zuu = 0;
  let zuv = 0;
  let zvv = 0;
  let k = 0;
  const pu = [1, u, u * u, u ** 3, u ** 4];
  const pv = [1, v, v * v, v ** 3, v ** 4];
  for (let total = 0; total <= degree; total += 1) {
    for (let j = 0; j <= total; j += 1) {
      const i = total - j;
      const c = coefficients[k]!;
      k += 1;
      z += c * pu[i]! * pv[j]!;
      if (i > 0) zu += c * i * pu[i - 1]! * pv[j]!;
      if (j > 0) zv += c * j * pu[i]! * pv[j - 1]!;
      if (i > 1) zuu += c * i * (i - 1) * pu[i - 2]! * pv[j]!;
      if (i > 0 && j > 0) zuv += c * i * j * pu[i - 1]! * pv[j - 1]!;
      if (j > 1) zvv += c * j * (j - 1) * pu[i]! * pv[j - 2]!;
    }
  }
  return { z, zu, zv, zuu, zuv, zvv };
}
