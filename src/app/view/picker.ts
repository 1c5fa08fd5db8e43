import { DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import type { Vec3 } from '../../geometry/types.ts';
import { type PickTree, pickGeometry } from './pick-tree.ts';

export interface SurfaceHit {
  /** On the triangle, scan frame, mm. */
  readonly point: Vec3;
  /** Triangle of the scan. */
  readonly triangle: number;
  readonly distanceMm: number;
}

/** Exact first hits on the scan as it was read (crowns unmoved). */
export interface Picker {
  /**
   * @param direction - unit
   * @param fromMm - hits nearer than this are passed through
   */
  hit(origin: Vec3, direction: Vec3, fromMm?: number): SurfaceHit | null;
}

/** `positions` and `triangles` must be those the tree was built from; they stay the caller's. */
export function makePicker(positions: Float32Array, triangles: Uint32Array, tree: PickTree): Picker {
  const serialized = { version: 1, roots: tree.roots, index: triangles, indirectBuffer: tree.indirect };
  const bvh = MeshBVH.deserialize(serialized, pickGeometry({ positions, triangles }), { setIndex: false });
  const ray = new Ray();
  return {
    hit(origin, direction, fromMm = 0) {
      ray.origin = new Vector3(...origin);
      ray.direction = new Vector3(...direction);
      const found = bvh.raycastFirst(ray, DoubleSide, fromMm, Infinity);
      if (found === null || found.faceIndex === null || found.faceIndex === undefined) return null;
      return { point: found.point.toArray(), triangle: found.faceIndex, distanceMm: found.distance };
    },
  };
}
