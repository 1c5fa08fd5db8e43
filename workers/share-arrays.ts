import { carryAdjacency } from '../src/geometry/adjacency.ts';
import { letGo } from '../src/geometry/let-go.ts';
import { isShared, type Numbers, shared } from '../src/geometry/shared-array.ts';
import type { Scan } from '../src/scan/types.ts';

/** One copy of a scan for worker, page and display worker. Nobody writes to a scan, so sharing is safe. */

/** What crosses to the page of an array that the worker keeps: itself when it is shared, else a copy. */
export function forReply<T extends Numbers>(array: T): T {
  return isShared(array) ? array : (array.slice() as T);
}

/**
 * The scan with its large arrays in shared memory, and without what only those need who have labels of the file's own
 * triangles or vertices.
 *
 * @param scan - its arrays are of no use afterwards
 */
export function shareable(scan: Scan): Scan {
  const triangles = shared(scan.triangles);
  carryAdjacency(scan.triangles, triangles);
  letGo(scan.triangleInFile ?? null, scan.vertexInFile ?? null);
  return {
    positions: shared(scan.positions),
    triangles,
    colors: scan.colors && shared(scan.colors),
    originMm: scan.originMm,
    source: scan.source,
    health: scan.health,
  };
}
