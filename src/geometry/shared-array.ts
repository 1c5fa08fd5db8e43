import { letGo } from './let-go.ts';

export type Numbers = Float32Array | Uint32Array | Uint8Array;

/**
 * In Node a worker and its caller are one: there is nobody to share with. WebKit as GTK has it calls a page isolated and
 * has no shared memory all the same.
 */
const canShare = (): boolean =>
  'crossOriginIsolated' in globalThis &&
  globalThis.crossOriginIsolated === true &&
  typeof SharedArrayBuffer !== 'undefined';

/**
 * The array in memory that page and workers share, so that it crosses without a copy: only on a page that no other
 * origin can look into (headers of `.ci/serve.mjs`), in a browser that has such memory.
 *
 * @param array - of no use afterwards
 * @returns `array` itself where nothing is shared
 */
export function shared<T extends Numbers>(array: T): T {
  if (!canShare() || isShared(array)) return array;
  const make = array.constructor as new (buffer: SharedArrayBuffer) => T;
  const copy = new make(new SharedArrayBuffer(array.byteLength));
  copy.set(array);
  letGo(array);
  return copy;
}

export const isShared = (array: Numbers): boolean => !(array.buffer instanceof ArrayBuffer);
