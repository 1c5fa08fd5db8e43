import type { TriangleMesh } from '../geometry/types.ts';
import type { Scan } from './types.ts';

/**
 * The surface of one file in the scan frame of another: both files are in one frame, but each may have been moved
 * towards the origin when it was read.
 *
 * @param file - not modified
 * @param target - only where its origin lies counts
 * @returns positions of its own, mm; the triangles are those of `file`
 */
export function placeInFrame(
  file: Pick<Scan, 'positions' | 'triangles' | 'originMm'>,
  target: Pick<Scan, 'originMm'>,
): TriangleMesh {
  const shift = file.originMm.map((value, k) => value - target.originMm[k]!);
  return {
    positions: file.positions.map((value, i) => value + shift[i % 3]!),
    triangles: file.triangles,
  };
}
