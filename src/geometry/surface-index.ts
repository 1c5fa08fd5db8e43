import { letGo } from './let-go.ts';
import { buildTriangleTree, LEAF_FLAG, NODE_WORDS, type TriangleTree } from './triangle-tree.ts';
import type { TriangleMesh } from './types.ts';

/*
 * The tree is our own build in Morton order (triangle-tree.ts); the queries walk a flat copy of it, with boxes taken anew
 * from the vertices, in double precision. The queries of three-mesh-bvh are not used: `closestPointToGeometry` is slow,
 * gives an unresolved face index in indirect mode, and one NaN vertex makes its distance 0 without an error; `bvhcast`
 * prunes by intersection only and so cannot serve a distance.
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

/** Corners of the given triangles, (k x 9). */
function gatherCorners({ positions, triangles }: TriangleMesh, order: Uint32Array): Float64Array {
  const corners = new Float64Array(9 * order.length);
  for (let i = 0; i < order.length; i += 1) {
    for (let k = 0; k < 3; k += 1) {
      const v = 3 * triangles[3 * order[i]! + k]!;
      for (let c = 0; c < 3; c += 1) corners[9 * i + 3 * k + c] = positions[v + c]!;
    }
  }
  return corners;
}

/** A NaN would win every comparison. */
function refuseNotFinite({ positions, triangles }: TriangleMesh, subset: Uint32Array): void {
  for (let i = 0; i < subset.length; i += 1) {
    for (let k = 0; k < 3; k += 1) {
      const v = triangles[3 * subset[i]! + k]!;
      for (let c = 0; c < 3; c += 1) {
        if (Number.isFinite(positions[3 * v + c])) continue;
        throw new RangeError(`triangle ${subset[i]}: vertex ${v} has no finite coordinate`);
      }
    }
  }
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

/** The flat copy of a tree that the queries walk. */
function flatten(mesh: TriangleMesh, { nodes, order }: TriangleTree): IndexedSurface {
  const corners = gatherCorners(mesh, order);
  const words = new Uint32Array(nodes);
  const nodeCount = words.length / NODE_WORDS;
  const boxes = new Float64Array(6 * nodeCount);
  const right = new Int32Array(nodeCount);
  const first = new Int32Array(nodeCount);
  const count = new Int32Array(nodeCount);
  for (let node = nodeCount - 1; node >= 0; node -= 1) {
    const at = NODE_WORDS * node;
    const isLeaf = words[at + 7]! >>> 16 === LEAF_FLAG;
    right[node] = isLeaf ? -1 : node + words[at + 6]!;
    first[node] = isLeaf ? words[at + 6]! : -1;
    count[node] = isLeaf ? words[at + 7]! & 0xffff : 0;
    boxes.fill(Number.POSITIVE_INFINITY, 6 * node, 6 * node + 3);
    boxes.fill(Number.NEGATIVE_INFINITY, 6 * node + 3, 6 * node + 6);
    if (isLeaf) {
      growBox(boxes, node, corners, 9 * first[node]!, 3 * count[node]!);
    } else {
      growBox(boxes, node, boxes, 6 * (node + 1), 2);
      growBox(boxes, node, boxes, 6 * right[node]!, 2);
    }
  }
  letGo(words);
  return { triangles: order, corners, boxes, right, first, count };
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
  refuseNotFinite(mesh, subset);
  return flatten(mesh, buildTriangleTree(mesh, LEAF_TRIANGLES, subset));
}

/** Gives the memory of indexed surfaces back. @param surfaces - of no use afterwards */
export function letGoSurfaces(...surfaces: readonly IndexedSurface[]): void {
  for (const { triangles, corners, boxes, right, first, count } of surfaces)
    letGo(triangles, corners, boxes, right, first, count);
}
