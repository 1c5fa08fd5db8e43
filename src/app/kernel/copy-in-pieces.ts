import { nextTurn } from '../../geometry/next-turn.ts';

/** So many bytes are copied in a few milliseconds. */
const PIECE_BYTES = 4_000_000;

/** A copy of a file, made with pauses in which the page can answer: a heavy scan takes longer than a frame. */
export async function copyInPieces(bytes: Uint8Array): Promise<Uint8Array<ArrayBuffer>> {
  const copy = new Uint8Array(bytes.length);
  for (let from = 0; from < bytes.length; from += PIECE_BYTES) {
    if (from > 0) await nextTurn();
    copy.set(bytes.subarray(from, from + PIECE_BYTES), from);
  }
  return copy;
}
