import { BufferAttribute, BufferGeometry } from 'three';
import { buildTriangleTree } from '../../geometry/triangle-tree.ts';
import type { TriangleMesh } from '../../geometry/types.ts';

export interface PickTree {
  readonly roots: ArrayBuffer[];
  readonly indirect: Uint32Array;
}

/** Triangles per leaf. */
const LEAF_TRIANGLES = 10;

/** Geometry as the pick tree sees it; positions and triangles are shared, not copied. */
export function pickGeometry({ positions, triangles }: TriangleMesh): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  return geometry;
}

/** The tree that picking walks, over the whole scan. Indirect, so that triangle numbers stay those of the scan. */
export function buildPickTree(mesh: TriangleMesh): PickTree {
  const { nodes, order } = buildTriangleTree(mesh, LEAF_TRIANGLES);
  return { roots: [nodes], indirect: order };
}
