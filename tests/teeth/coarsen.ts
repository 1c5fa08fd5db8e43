import { closestPoint, indexSurface } from '../../src/geometry/surface-distance.ts';
import { triangleAreas, triangleCentroids, triangleNormals } from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';

/** Ten numbers of a symmetric 4 x 4 quadric per vertex. */
const TERMS = 10;

/**
 * Makes a scan coarse by collapsing edges to one of their ends, cheapest first by the quadric error of Garland and
 * Heckbert 1997, a set of far-apart ones per round, until no more than `target` triangles are left. An edge is kept
 * when collapsing it would pinch the surface or turn a triangle over. Plain and slow; for tests.
 */
export function coarsen(mesh: TriangleMesh, target: number): TriangleMesh {
  const { positions } = mesh;
  let triangles = mesh.triangles.slice();
  const quadrics = vertexQuadrics(mesh);
  for (let round = 0; round < 200 && triangles.length > 3 * target; round++) {
    const kept = collapseRound(positions, triangles, quadrics, target);
    if (3 * kept.length === triangles.length) break;
    const next = new Uint32Array(3 * kept.length);
    kept.forEach((f, k) => {
      next.set(triangles.subarray(3 * f, 3 * f + 3), 3 * k);
    });
    triangles = next;
  }
  return compact({ positions, triangles });
}

/** Sum over the faces around each vertex of the squared distance to the face's plane, weighted by area. */
function vertexQuadrics(mesh: TriangleMesh): Float64Array {
  const { positions, triangles } = mesh;
  const normals = triangleNormals(mesh);
  const areas = triangleAreas(mesh);
  const quadrics = new Float64Array((TERMS * positions.length) / 3);
  for (let h = 0; h < triangles.length; h++) {
    const f = Math.floor(h / 3);
    const v = 3 * triangles[3 * f]!;
    const n = [0, 1, 2].map((k) => normals[3 * f + k]!);
    const plane = [...n, -n.reduce((sum, value, k) => sum + value * positions[v + k]!, 0)];
    let term = TERMS * triangles[h]!;
    for (let i = 0; i < 4; i++)
      for (let j = i; j < 4; j++) quadrics[term++]! += areas[f]! * plane[i]! * plane[j]!;
  }
  return quadrics;
}

/** Error of the summed quadrics of a and b at the place of `at`. */
function quadricError(
  quadrics: Float64Array,
  positions: Float32Array,
  a: number,
  b: number,
  at: number,
): number {
  const p = [positions[3 * at]!, positions[3 * at + 1]!, positions[3 * at + 2]!, 1];
  let error = 0;
  let term = 0;
  for (let i = 0; i < 4; i++) {
    for (let j = i; j < 4; j++, term++) {
      const q = quadrics[TERMS * a + term]! + quadrics[TERMS * b + term]!;
      error += (i === j ? 1 : 2) * q * p[i]! * p[j]!;
    }
  }
  return error;
}

/** Labels of a coarsened mesh: each face takes the label of the fine mesh's face nearest to its middle. */
export function carryLabels(fine: TriangleMesh, labels: Uint8Array, coarse: TriangleMesh): Uint8Array {
  const surface = indexSurface(fine);
  const centroids = triangleCentroids(coarse);
  return Uint8Array.from({ length: coarse.triangles.length / 3 }, (_, f) => {
    const p: Vec3 = [centroids[3 * f]!, centroids[3 * f + 1]!, centroids[3 * f + 2]!];
    return labels[closestPoint(surface, p)!.triangle]!;
  });
}

/** One round: rewrites `triangles` in place and returns the faces that remain. */
function collapseRound(
  positions: Float32Array,
  triangles: Uint32Array,
  quadrics: Float64Array,
  target: number,
): number[] {
  const count = triangles.length / 3;
  const vertexCount = positions.length / 3;
  const facesOf: number[][] = Array.from({ length: vertexCount }, () => []);
  for (let h = 0; h < triangles.length; h++) facesOf[triangles[h]!]!.push(Math.floor(h / 3));
  const edges: { keep: number; drop: number; cost: number }[] = [];
  for (let h = 0; h < triangles.length; h++) {
    const a = triangles[h]!;
    const b = triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    if (a > b) continue;
    const [atA, atB] = [
      quadricError(quadrics, positions, a, b, a),
      quadricError(quadrics, positions, a, b, b),
    ];
    // The length decides on flat ground, where every collapse is free.
    const length = 1e-4 * apart(positions, a, b) ** 2;
    edges.push(
      atA <= atB ? { keep: a, drop: b, cost: atA + length } : { keep: b, drop: a, cost: atB + length },
    );
  }
  edges.sort((x, y) => x.cost - y.cost);
  const locked = new Uint8Array(vertexCount);
  const removed = new Uint8Array(count);
  let left = count;
  // A quarter of the faces at most per round, so that the order stays nearly that of the costs.
  const enough = Math.max(target, Math.floor(0.75 * count));
  for (const { keep, drop } of edges) {
    if (left <= enough) break;
    if (locked[keep] || locked[drop] || !mayCollapse(positions, triangles, facesOf, keep, drop)) continue;
    for (const f of facesOf[drop]!) {
      const row = triangles.subarray(3 * f, 3 * f + 3);
      for (const v of row) locked[v] = 1;
      if (row.includes(keep)) {
        removed[f] = 1;
        left--;
      } else row[row.indexOf(drop)] = keep;
    }
    for (const f of facesOf[keep]!) for (const v of triangles.subarray(3 * f, 3 * f + 3)) locked[v] = 1;
    for (let term = 0; term < TERMS; term++) quadrics[TERMS * keep + term]! += quadrics[TERMS * drop + term]!;
  }
  return Array.from({ length: count }, (_, f) => f).filter((f) => !removed[f]);
}

function apart(positions: Float32Array, a: number, b: number): number {
  return Math.hypot(...[0, 1, 2].map((k) => positions[3 * a + k]! - positions[3 * b + k]!));
}

/** Link condition: the ends share the two opposite corners and nothing else; and no triangle turns over. */
function mayCollapse(
  positions: Float32Array,
  triangles: Uint32Array,
  facesOf: readonly number[][],
  a: number,
  b: number,
): boolean {
  const around = (v: number): Set<number> =>
    new Set(facesOf[v]!.flatMap((f) => [...triangles.subarray(3 * f, 3 * f + 3)]).filter((w) => w !== v));
  const ringA = around(a);
  const ringB = around(b);
  const shared = facesOf[b]!.filter((f) => triangles.subarray(3 * f, 3 * f + 3).includes(a)).length;
  const common = [...ringB].filter((v) => ringA.has(v)).length;
  if (shared !== 2 || common !== 2 || ringB.size !== facesOf[b]!.length) return false;
  for (const f of facesOf[b]!) {
    const row = [...triangles.subarray(3 * f, 3 * f + 3)];
    if (row.includes(a)) continue;
    const before = normal(positions, row);
    const after = normal(
      positions,
      row.map((v) => (v === b ? a : v)),
    );
    const dot = before[0]! * after[0]! + before[1]! * after[1]! + before[2]! * after[2]!;
    if (!(dot > 0.2)) return false;
  }
  return true;
}

function normal(p: Float32Array, [a, b, c]: readonly number[]): number[] {
  const edge = (v: number, k: number): number => p[3 * v + k]! - p[3 * a! + k]!;
  const n = [0, 1, 2].map((k) => {
    const [i, j] = [(k + 1) % 3, (k + 2) % 3];
    return edge(b!, i) * edge(c!, j) - edge(b!, j) * edge(c!, i);
  });
  const length = Math.hypot(...n);
  return n.map((value) => (length > 0 ? value / length : 0));
}

function compact(mesh: TriangleMesh): TriangleMesh {
  const name = new Map<number, number>();
  const positions: number[] = [];
  const triangles = mesh.triangles.map((v) => {
    let w = name.get(v);
    if (w === undefined) {
      w = name.size;
      name.set(v, w);
      positions.push(...mesh.positions.subarray(3 * v, 3 * v + 3));
    }
    return w;
  });
  return { positions: Float32Array.from(positions), triangles };
}
