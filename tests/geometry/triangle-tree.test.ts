import fc from 'fast-check';
import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH, validateBounds } from 'three-mesh-bvh';
import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../src/geometry/seeded-random.ts';
import { buildTriangleTree, LEAF_FLAG, NODE_WORDS } from '../../src/geometry/triangle-tree.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';

/** Loose triangles of about `size` in a cube of side 10. */
function scattered(count: number, size: number, seed: number): TriangleMesh {
  const random = seededRandom(seed);
  const positions = new Float32Array(9 * count);
  for (let t = 0; t < count; t++) {
    const centre = [10 * random(), 10 * random(), 10 * random()];
    for (let i = 0; i < 9; i++) positions[9 * t + i] = centre[i % 3]! + size * (random() - 0.5);
  }
  return { positions, triangles: Uint32Array.from({ length: 3 * count }, (_, i) => i) };
}

function geometryOf({ positions, triangles }: TriangleMesh): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  return geometry;
}

function walkedByLibrary(mesh: TriangleMesh, leafTriangles = 10, subset?: Uint32Array): MeshBVH {
  const { nodes, order } = buildTriangleTree(mesh, leafTriangles, subset);
  const serialized = { version: 1, roots: [nodes], index: mesh.triangles, indirectBuffer: order };
  return MeshBVH.deserialize(serialized, geometryOf(mesh), { setIndex: false });
}

/** First and number of triangles of every leaf, in the order in which they stand. */
function leavesOf(nodes: ArrayBuffer): [first: number, count: number][] {
  const words = new Uint32Array(nodes);
  const leaves: [number, number][] = [];
  for (let at = 0; at < words.length; at += NODE_WORDS) {
    if (words[at + 7]! >>> 16 === LEAF_FLAG) leaves.push([words[at + 6]!, words[at + 7]! & 0xffff]);
  }
  return leaves;
}

describe('the tree in Morton order', () => {
  test.each([1, 2, 11, 500])('holds every one of %i triangles in one leaf, within its boxes', (count) => {
    const mesh = scattered(count, 1, count);
    const { nodes, order } = buildTriangleTree(mesh, 4);
    expect([...order].toSorted((a, b) => a - b)).toEqual(Array.from({ length: count }, (_, t) => t));
    let next = 0;
    for (const [first, size] of leavesOf(nodes)) {
      expect(first).toBe(next);
      expect(size).toBeLessThanOrEqual(4);
      next += size;
    }
    expect(next).toBe(count);
    expect(validateBounds(walkedByLibrary(mesh, 4))).toBe(true);
  });

  test('many triangles at one place are halved until they fit', () => {
    const one = scattered(1, 1, 3);
    const count = 100_000;
    const mesh = {
      positions: one.positions,
      triangles: Uint32Array.from({ length: 3 * count }, (_, i) => i % 3),
    };
    const { nodes } = buildTriangleTree(mesh, 70_000);
    expect(leavesOf(nodes)).toEqual([
      [0, 50_000],
      [50_000, 50_000],
    ]);
    expect(Math.max(...leavesOf(buildTriangleTree(mesh, 10).nodes).map(([, size]) => size))).toBeLessThan(11);
  });

  test('a subset: only its triangles, by their numbers in the mesh', () => {
    const mesh = scattered(300, 0.5, 9);
    const subset = Uint32Array.from({ length: 100 }, (_, i) => 3 * i + 1);
    const { order } = buildTriangleTree(mesh, 10, subset);
    expect([...order].toSorted((a, b) => a - b)).toEqual([...subset]);
    expect(validateBounds(walkedByLibrary(mesh, 10, subset))).toBe(true);
  });

  test('the library finds on it what it finds on a tree of its own, and what a look at every triangle finds', () => {
    const place = fc.tuple(...([0, 1, 2].map(() => fc.double({ min: -2, max: 12, noNaN: true })) as never[]));
    const mesh = scattered(400, 2, 77);
    const ours = walkedByLibrary(mesh);
    const own = new MeshBVH(geometryOf(mesh), { indirect: true });
    const each = Array.from({ length: 400 }, (_, t) => walkedByLibrary(mesh, 10, Uint32Array.of(t)));
    fc.assert(
      fc.property(place, place, (from, to) => {
        const p = new Vector3(...(from as [number, number, number]));
        const near = ours.closestPointToPoint(p)!;
        expect(near.distance).toBe(own.closestPointToPoint(p)!.distance);
        expect(near.distance).toBe(Math.min(...each.map((tree) => tree.closestPointToPoint(p)!.distance)));
        const ray = new Ray(p, new Vector3(...(to as [number, number, number])).sub(p).normalize());
        const hits = (tree: MeshBVH) =>
          tree
            .raycast(ray, DoubleSide)
            .map(({ faceIndex, distance }) => `${faceIndex}: ${distance}`)
            .toSorted();
        expect(hits(ours)).toEqual(hits(own));
        expect(hits(ours)).toEqual(each.flatMap(hits).toSorted());
        const first = ours.raycastFirst(ray, DoubleSide);
        const all = ours.raycast(ray, DoubleSide).map(({ distance }) => distance);
        if (first === null) expect(all).toEqual([]);
        else expect(first.distance).toBe(Math.min(...all));
      }),
      { seed: 21, numRuns: 60 },
    );
  });
});
