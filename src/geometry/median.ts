/**
 * Median by selection (Hoare's quickselect), linear on average; reorders `values`. Of an even number of values it
 * is the mean of the middle two.
 *
 * @param values - at least one, all finite; reordered in place
 */
export function median(values: Float32Array | Float64Array): number {
  const count = values.length;
  const upperMiddle = count >> 1;
  const upper = select(values, upperMiddle);
  if (count % 2 === 1) return upper;
  let lower = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < upperMiddle; i++) if (values[i]! > lower) lower = values[i]!;
  return (lower + upper) / 2;
}

/**
 * Moves the k-th smallest value (from 0) to place k, smaller ones before it, and returns it.
 *
 * @param values - all finite; reordered in place
 * @param k - below the number of values
 */
export function select(values: Float32Array | Float64Array, k: number): number {
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const pivot = middleOfThree(values[left]!, values[(left + right) >> 1]!, values[right]!);
    let i = left;
    let j = right;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i <= j) {
        const swap = values[i]!;
        values[i] = values[j]!;
        values[j] = swap;
        i++;
        j--;
      }
    }
    if (k <= j) right = j;
    else if (k >= i) left = i;
    else break;
  }
  return values[k]!;
}

function middleOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
