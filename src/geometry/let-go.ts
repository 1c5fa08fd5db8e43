/** `ArrayBuffer.prototype.transfer` of ECMAScript 2024, where the engine has it. */
interface Transferable2024 {
  transfer?(newByteLength: number): ArrayBuffer;
}

/**
 * Gives the memory of arrays back at once that nobody uses any more. The engine does so by itself, but only when it
 * clears up next: after a heavy scan was read its file would stay for seconds, as the highest memory of all.
 *
 * @param arrays - of no use afterwards: their buffers are empty where the engine can do that, and as they were elsewhere
 */
export function letGo(...arrays: readonly (ArrayBufferView | null)[]): void {
  for (const array of arrays) {
    // Shared memory is not one's own to give back.
    if (array === null || !(array.buffer instanceof ArrayBuffer) || array.buffer.byteLength === 0) continue;
    (array.buffer as Transferable2024).transfer?.(0);
  }
}
