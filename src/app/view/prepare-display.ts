import { BufferAttribute, BufferGeometry } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { creviceShade } from './crevice-shade.ts';
import type { DisplayReply, DisplayRequest, PickTree } from './display-messages.ts';

/** Geometry as the pick tree sees it; positions and triangles are shared, not copied. */
export function pickGeometry(positions: Float32Array, triangles: Uint32Array): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  return geometry;
}

/** The tree that picking walks. Indirect, so that triangle numbers stay those of the scan. */
export function buildPickTree(positions: Float32Array, triangles: Uint32Array): PickTree {
  const bvh = new MeshBVH(pickGeometry(positions, triangles), { indirect: true, setBoundingBox: false });
  const { roots, indirectBuffer } = MeshBVH.serialize(bvh, { cloneBuffers: false });
  if (indirectBuffer === null) throw new Error('the pick tree was built without its triangle order');
  return { roots, indirect: indirectBuffer };
}

/** Everything the view wants besides the arrays it is given, the quick part first. */
export function prepareDisplay(request: DisplayRequest, send: (reply: DisplayReply) => void): void {
  send({ kind: 'shade', shade: creviceShade(request, request.normals) as Float32Array<ArrayBuffer> });
  send({ kind: 'tree', tree: buildPickTree(request.positions, request.triangles) });
}
