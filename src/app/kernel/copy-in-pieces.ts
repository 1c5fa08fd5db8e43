/** So many bytes are copied in a few milliseconds. */
const PIECE_BYTES = 4_000_000;

/** A copy of a file, made with pauses in which the page can answer: a heavy scan takes longer than a frame. */
export async function copyInPieces(bytes: Uint8Array): Promise<Uint8Array<ArrayBuffer>> {
  const copy = new Uint8Array(bytes.length);
  for (let from = 0; from < bytes.length; from += PIECE_BYTES) {
    if (from > 0) await nextTask();
    copy.set(bytes.subarray(from, from + PIECE_BYTES), from);
  }
  return copy;
}

/** The page's next task; not by a timer, which browsers hold back in tabs that are not in front. */
function nextTask(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(null);
  });
}
