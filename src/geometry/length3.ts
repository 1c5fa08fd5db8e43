/**
 * Length of a vector, as `Math.hypot` gives it, for hot loops: that one makes a list of what it is given with every
 * call. Scaled by the largest part, so that no square overflows or vanishes, and summed with the rounding of every step
 * kept (Kahan 1965, "Further remarks on reducing truncation errors", Comm. ACM 8:40), so that in engines that do the
 * same (V8 does) no bit differs.
 *
 * @returns in the unit of the parts; Infinity where one is infinite, else NaN where one is not a number
 */
export function length3(x: number, y: number, z: number): number {
  const largest = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
  if (!(largest > 0 && largest < Infinity)) return ofExtremes(x, y, z, largest);
  const [a, b, c] = [x / largest, y / largest, z / largest];
  const two = a * a + b * b;
  const excess = two - a * a - b * b;
  return Math.sqrt(two + (c * c - excess)) * largest;
}

/** A part may be infinite beside one that is not a number: then the length is infinite all the same. */
function ofExtremes(x: number, y: number, z: number, largest: number): number {
  const isInfinite = Math.abs(x) === Infinity || Math.abs(y) === Infinity || Math.abs(z) === Infinity;
  return isInfinite ? Infinity : largest;
}
