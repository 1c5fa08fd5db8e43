/**
 * What differs between two states of one large array, as whole blocks: little crosses from the worker to the page and
 * to the graphics card when little changed.
 */
export interface BlockPatch<T extends Uint8Array | Uint32Array | Float32Array> {
  /** Where each run of changed blocks begins, in elements. */
  readonly starts: Uint32Array;
  /** How many elements each run holds. */
  readonly lengths: Uint32Array;
  /** The new elements of all runs, one run after the other. */
  readonly values: T;
}

/** Elements per block: the cost of one more run on the graphics card is about that of copying so much. */
const BLOCK = 3072;

/**
 * The runs of blocks in which `after` differs from `before`.
 *
 * @param before - as long as `after`; neither is modified
 */
export function patchBetween<T extends Uint8Array | Uint32Array | Float32Array>(
  before: T,
  after: T,
): BlockPatch<T> {
  const starts: number[] = [];
  const lengths: number[] = [];
  let total = 0;
  for (let from = 0; from < after.length; from += BLOCK) {
    const to = Math.min(from + BLOCK, after.length);
    if (sameWithin(before, after, from, to)) continue;
    const last = starts.length - 1;
    if (last >= 0 && starts[last]! + lengths[last]! === from) lengths[last]! += to - from;
    else {
      starts.push(from);
      lengths.push(to - from);
    }
    total += to - from;
  }
  const values = after.slice(0, total) as T;
  let at = 0;
  starts.forEach((start, i) => {
    values.set(after.subarray(start, start + lengths[i]!), at);
    at += lengths[i]!;
  });
  return { starts: Uint32Array.from(starts), lengths: Uint32Array.from(lengths), values };
}

function sameWithin(a: ArrayLike<number>, b: ArrayLike<number>, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (a[i] !== b[i]) return false;
  return true;
}

/**
 * Writes a patch into the array that was the `before` of it.
 *
 * @param onRun - told where something changed, in elements
 */
export function applyPatch<T extends Uint8Array | Uint32Array | Float32Array>(
  target: T,
  { starts, lengths, values }: BlockPatch<T>,
  onRun: (start: number, length: number) => void,
): void {
  let at = 0;
  starts.forEach((start, i) => {
    const length = lengths[i]!;
    target.set(values.subarray(at, at + length), start);
    at += length;
    onRun(start, length);
  });
}
