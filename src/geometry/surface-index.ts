import { BufferAttribute, BufferGeometry } from 'three';
import { CENTER, MeshBVH } from 'three-mesh-bvh';
import type { TriangleMesh } from './types.ts';

/**
 * Notes. three-mesh-bvh decides how the triangles are grouped; the queries walk a flat copy of that tree, with boxes
 * taken anew from the vertices, in double precision. Its own queries are not used: `closestPointToGeometry` is slow,
 * gives an unresolved face index in indirect mode, and one NaN vertex makes its distance 0 without an error;
 * `bvhcast` prunes by intersection only and so cannot serve a distance. The indirect build leaves the index in the
 * order it was given.
 */

/** Triangles per leaf: small, as the exact triangle-triangle distance is dear. */
const LEAF_TRIANGLES = 4;

/**
 * A surface (all or some triangles of a mesh) prepared for queries. Plain data. Nodes stand in depth-first order:
 * the left child of node i is i + 1.
 */
export interface IndexedSurface {
  /** Triangle numbers of the mesh, leaf by leaf. */
  readonly triangles: Uint32Array;
  /** (k x 9) corners of those triangles, in the same order, mm. */
  readonly corners: Float64Array;
  /** (n x 6) least and greatest x, y, z of every node, mm. */
  readonly boxes: Float64Array;
  /** Right child of a node, or -1 for a leaf. */
  readonly right: Int32Array;
  /** First triangle of a leaf in `triangles`. */
  readonly first: Int32Array;
  /** Number of triangles of a leaf, 0 for an inner node. */
  readonly count: Int32Array;
}

/** Corners of the given triangles, (k x 9). Refuses what is not finite: a NaN would win every comparison. */
function gatherCorners(mesh: TriangleMesh, order: Uint32Array): Float64Array {
  const corners = new Float64Array(9 * order.length);
  for (let i = 0; i < order.length; i += 1) {
    for (let k = 0; k < 3; k += 1) {
      const v = mesh.triangles[3 * order[i]! + k]!;
      for (let c = 0; c < 3; c += 1) {
        const x = mesh.positions[3 * v + c];
        if (x === undefined || !Number.isFinite(x)) {
          throw new RangeError(`triangle ${order[i]}: vertex ${v} has no finite coordinate`);
        }
        corners[9 * i + 3 * k + c] = x;
      }
    }
  }
  return corners;
}

/** Widens box `node` by the numbers at `from` (3 per point), `points` of them. */
function growBox(boxes: Float64Array, node: number, from: Float64Array, start: number, points: number): void {
  for (let p = 0; p < points; p += 1) {
    for (let c = 0; c < 3; c += 1) {
      const x = from[start + 3 * p + c]!;
      if (x < boxes[6 * node + c]!) boxes[6 * node + c] = x;
      if (x > boxes[6 * node + 3 + c]!) boxes[6 * node + 3 + c] = x;
    }
  }
}

/**
 * Builds the tree over a surface.
 * @param mesh - not modified
 * @param triangleSubset - triangle numbers; all when left out
 * @throws RangeError when the subset is empty or holds a vertex that is not finite
 */
export function indexSurface(mesh: TriangleMesh, triangleSubset?: Uint32Array): IndexedSurface {
  const subset = triangleSubset ?? Uint32Array.from({ length: mesh.triangles.length / 3 }, (_, i) => i);
  if (subset.length === 0) throw new RangeError('a surface of no triangles cannot be asked for distances');
  const index = new Uint32Array(3 * subset.length);
  for (let i = 0; i < subset.length; i += 1) {
    for (let k = 0; k < 3; k += 1) index[3 * i + k] = mesh.triangles[3 * subset[i]! + k]!;
  }
  gatherCorners(mesh, subset);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(mesh.positions, 3));
  geometry.setIndex(new BufferAttribute(index, 1));
  const bvh = new MeshBVH(geometry, {
    indirect: true,
    strategy: CENTER,
    targetLeafSize: LEAF_TRIANGLES,
    setBoundingBox: false,
  });

  const right: number[] = [];
  const first: number[] = [];
  const count: number[] = [];
  const open: { node: number; depth: number; children: number }[] = [];
  bvh.traverse((depth, isLeaf, _bounds, offset, size) => {
    const node = right.length;
    while (open.length > 0 && open[open.length - 1]!.depth >= depth) open.pop();
    const parent = open[open.length - 1];
    if (parent !== undefined) {
      if (parent.children === 1) right[parent.node] = node;
      parent.children += 1;
    }
    right.push(-1);
    first.push(isLeaf ? offset : -1);
    count.push(isLeaf ? size : 0);
    if (!isLeaf) open.push({ node, depth, children: 0 });
  });

  const triangles = new Uint32Array(subset.length);
  for (let i = 0; i < subset.length; i += 1) triangles[i] = subset[bvh.resolveTriangleIndex(i)]!;
  const corners = gatherCorners(mesh, triangles);
  const boxes = new Float64Array(6 * right.length);
  for (let node = right.length - 1; node >= 0; node -= 1) {
    boxes.fill(Number.POSITIVE_INFINITY, 6 * node, 6 * node + 3);
    boxes.fill(Number.NEGATIVE_INFINITY, 6 * node + 3, 6 * node + 6);
    if (right[node] === -1) {
      growBox(boxes, node, corners, 9 * first[node]!, 3 * count[node]!);
    } else {
      growBox(boxes, node, boxes, 6 * (node + 1), 2);
      growBox(boxes, node, boxes, 6 * right[node]!, 2);
    }
  }
  return {
    triangles,
    corners,
    boxes,
    right: Int32Array.from(right),
    first: Int32Array.from(first),
    count: Int32Array.from(count),
  };
}
