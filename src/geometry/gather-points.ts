/**
 * Some of many points, in the order asked for.
 * @param points - (n x 3)
 * @param which - numbers of points
 */
export function gatherPoints(points: ArrayLike<number>, which: ArrayLike<number>): Float64Array {
  const gathered = new Float64Array(3 * which.length);
  for (let i = 0; i < which.length; i += 1) {
    const from = 3 * which[i]!;
    gathered[3 * i] = points[from]!;
    gathered[3 * i + 1] = points[from + 1]!;
    gathered[3 * i + 2] = points[from + 2]!;
  }
  return gathered;
}
