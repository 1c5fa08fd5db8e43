/**
 * Gives the memory of an array back at once that the browser has handled: read from a file, stored, or brought by a
 * message. `letGo` does not do for those, as the browser holds on to their buffers beside the engine, and the engine
 * would not even know that there is something to clear up. A buffer that is transferred leaves both; nobody takes it.
 *
 * @param array - of no use afterwards: its buffer is empty where the engine knows `ArrayBuffer.prototype.transfer`
 */
export function giveBack({ buffer }: ArrayBufferView): void {
  if (!(buffer instanceof ArrayBuffer) || buffer.byteLength === 0 || !('transfer' in buffer)) return;
  const { port1, port2 } = new MessageChannel();
  port2.close();
  port1.postMessage(null, [buffer]);
  port1.close();
}
