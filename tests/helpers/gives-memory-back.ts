import { onTestFinished } from 'vitest';

/** Until the test ends buffers can be emptied, as by `ArrayBuffer.prototype.transfer`, which Node 20 lacks. */
export function givesMemoryBack(): void {
  const prototype = ArrayBuffer.prototype as { transfer?: (this: ArrayBuffer) => ArrayBuffer };
  if (prototype.transfer !== undefined) return;
  prototype.transfer = function () {
    return structuredClone(this, { transfer: [this] });
  };
  onTestFinished(() => {
    delete prototype.transfer;
  });
}
