import { letGo } from './let-go.ts';

export type Numbers = Float32Array | Uint32Array | Uint8Array;

/** In Node a worker and its caller are one: there is nobody to share with. */
const isolated = (): boolean =>
  'crossOriginIsolated' in globalThis && globalThis.crossOriginIsolated === true;

/**
 * The array in memory that page and workers share, so that it crosses without a copy: only on a page that no other
 * origin can look into (headers of `.ci/serve.mjs`).
 *
 * @param array - of no use afterwards
 * @returns `array` itself where nothing is shared
 */
export function shared<T extends Numbers>(array: T): T {
  if (!isolated() || isShared(array)) return array;
  const make = array.constructor as new (buffer: SharedArrayBuffer) => T;
  const copy = new make(new SharedArrayBuffer(array.byteLength));
  copy.set(array);
  letGo(array);
  return copy;
}

export const isShared = (array: Numbers): boolean => !(array.buffer instanceof ArrayBuffer);
