/** Several (n x 3) arrays of points as one, in the order given, mm. */
export function joinPoints(...parts: readonly ArrayLike<number>[]): Float64Array {
  const joined = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    joined.set(part, at);
    at += part.length;
  }
  return joined;
}
