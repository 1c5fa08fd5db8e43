import { carryAdjacency } from '../src/geometry/adjacency.ts';
import { letGo } from '../src/geometry/let-go.ts';
import type { Scan } from '../src/scan/types.ts';

/**
 * One copy of a scan for worker, page and display worker, where the browser shares memory between them: only on a page
 * that no other origin can look into (headers of `.ci/serve.mjs`). Nobody writes to a scan, so sharing is safe.
 */

type Numbers = Float32Array | Uint32Array | Uint8Array;

/** In Node the worker and its caller are one: there is nobody to share with. */
const isolated = (): boolean =>
  'crossOriginIsolated' in globalThis && globalThis.crossOriginIsolated === true;

/** The array in memory that can be shared; itself where nothing is shared. */
export function shared<T extends Numbers>(array: T): T {
  if (!isolated() || !(array.buffer instanceof ArrayBuffer)) return array;
  const make = array.constructor as new (buffer: SharedArrayBuffer) => T;
  const copy = new make(new SharedArrayBuffer(array.byteLength));
  copy.set(array);
  return copy;
}

/** What crosses to the page of an array that the worker keeps: itself when it is shared, else a copy. */
export function forReply<T extends Numbers>(array: T): T {
  return array.buffer instanceof ArrayBuffer ? (array.slice() as T) : array;
}

/** The scan with its large arrays in shared memory. @param scan - its arrays are of no use afterwards */
export function shareable(scan: Scan): Scan {
  const { positions, triangles, colors } = scan;
  const out = {
    ...scan,
    positions: shared(positions),
    triangles: shared(triangles),
    colors: colors && shared(colors),
  };
  if (out.triangles === triangles) return scan;
  carryAdjacency(triangles, out.triangles);
  letGo(positions, triangles, colors);
  return out;
}
