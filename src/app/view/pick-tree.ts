import { BufferAttribute, BufferGeometry } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import type { TriangleMesh } from '../../geometry/types.ts';

export interface PickTree {
  readonly roots: ArrayBuffer[];
  readonly indirect: Uint32Array | Uint16Array;
}

/** Geometry as the pick tree sees it; positions and triangles are shared, not copied. */
export function pickGeometry({ positions, triangles }: TriangleMesh): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  return geometry;
}

/** The tree that picking walks, over the whole scan. Indirect, so that triangle numbers stay those of the scan. */
export function buildPickTree(mesh: TriangleMesh): PickTree {
  const bvh = new MeshBVH(pickGeometry(mesh), { indirect: true, setBoundingBox: false });
  const { roots, indirectBuffer } = MeshBVH.serialize(bvh, { cloneBuffers: false });
  if (indirectBuffer === null) throw new Error('the pick tree was built without its triangle order');
  return { roots, indirect: indirectBuffer };
}
