/**
 * Small dense symmetric positive definite systems in flat arrays, row by row. In the inner loop of the wall fits,
 * where a matrix object per step costs more than the arithmetic (15 unknowns, some hundred solves per contact).
 * Textbook Cholesky: G. Golub, C. Van Loan, Matrix Computations, section 4.2.
 */

/** Pivots below this share of the diagonal mean that the system does not determine its unknowns. */
const LEAST_PIVOT_SHARE = 1e-12;

/**
 * Replaces the lower triangle of `a` (n x n) by its Cholesky factor L, a = L L'.
 * @returns false when the matrix is not (numerically) positive definite; `a` is then unusable
 */
export function choleskyFactor(a: Float64Array, n: number): boolean {
  for (let j = 0; j < n; j += 1) {
    const diagonal = a[j * n + j]!;
    let pivot = diagonal;
    for (let k = 0; k < j; k += 1) pivot -= a[j * n + k]! ** 2;
    if (!(pivot > LEAST_PIVOT_SHARE * diagonal)) return false;
    const root = Math.sqrt(pivot);
    a[j * n + j] = root;
    for (let i = j + 1; i < n; i += 1) {
      let sum = a[i * n + j]!;
      for (let k = 0; k < j; k += 1) sum -= a[i * n + k]! * a[j * n + k]!;
      a[i * n + j] = sum / root;
    }
  }
  return true;
}

/** Solves L L' x = b in place, with L from {@link choleskyFactor}. */
export function choleskySolve(factor: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i += 1) {
    let sum = b[i]!;
    for (let k = 0; k < i; k += 1) sum -= factor[i * n + k]! * b[k]!;
    b[i] = sum / factor[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i -= 1) {
    let sum = b[i]!;
    for (let k = i + 1; k < n; k += 1) sum -= factor[k * n + i]! * b[k]!;
    b[i] = sum / factor[i * n + i]!;
  }
}

/** The inverse (n x n, full) of the matrix whose factor is given. */
export function choleskyInverse(factor: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let j = 0; j < n; j += 1) {
    column.fill(0);
    column[j] = 1;
    choleskySolve(factor, n, column);
    for (let i = 0; i < n; i += 1) inverse[i * n + j] = column[i]!;
  }
  return inverse;
}
