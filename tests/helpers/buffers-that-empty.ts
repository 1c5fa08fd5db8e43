/*
 * Node 20 has no ArrayBuffer.prototype.transfer, so that what is given back (letGo) stays as it was: a use after that
 * would go unseen in every test, and give zeros in a browser. With this the tests meet buffers that empty, as there, those of the page, too.
 */
if (!('transfer' in ArrayBuffer.prototype)) {
  Object.defineProperty(ArrayBuffer.prototype, 'transfer', {
    configurable: true,
    writable: true,
    value(this: ArrayBuffer) {
      return structuredClone(this, { transfer: [this] });
    },
  });
}
