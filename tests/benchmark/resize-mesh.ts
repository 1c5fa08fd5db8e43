import type { TriangleMesh } from '../../src/geometry/types.ts';
import { decimate } from '../evaluation/variants/decimate.ts';
import { subdivide } from './subdivide.ts';

/**
 * The same surface with as many triangles as asked for (one more at most when it becomes finer; about as many when it
 * becomes coarser). Finer: the longest sides are halved until whole rounds of {@link subdivide} lead to the number, so
 * that the surface stays what it was to the last digit. Coarser: edges collapsed by quadric error.
 *
 * @param mesh - not modified
 */
export async function resizeMesh(mesh: TriangleMesh, triangles: number): Promise<TriangleMesh> {
  const now = mesh.triangles.length / 3;
  if (triangles < now) return await decimate(mesh, triangles);
  const rounds = Math.floor(Math.log(triangles / now) / Math.log(4));
  let finer = halveLongest(mesh, Math.ceil(triangles / 4 ** rounds));
  for (let round = 0; round < rounds; round++) finer = subdivide(finer);
  return finer;
}

/** Halves the longest sides, each once, until there are so many triangles (or every side is halved). */
function halveLongest(mesh: TriangleMesh, wanted: number): TriangleMesh {
  const { positions, triangles } = mesh;
  if (wanted <= triangles.length / 3) return mesh;
  const sides = sidesOf(mesh);
  const points = Array.from(positions);
  const middles = new Map<number, number>();
  let count = triangles.length / 3;
  for (const { key, from, to, faces } of sides) {
    if (count >= wanted) break;
    middles.set(key, points.length / 3);
    for (let k = 0; k < 3; k++) points.push((positions[3 * from + k]! + positions[3 * to + k]!) / 2);
    count += faces;
  }
  const vertexCount = positions.length / 3;
  const finer: number[] = [];
  for (let f = 0; f < triangles.length; f += 3) {
    const corners = [triangles[f]!, triangles[f + 1]!, triangles[f + 2]!] as const;
    const middle = (k: number) => middles.get(keyOf(corners[k]!, corners[(k + 1) % 3]!, vertexCount));
    finer.push(...pieces(corners, [middle(0), middle(1), middle(2)]));
  }
  return { positions: Float32Array.from(points), triangles: Uint32Array.from(finer) };
}

interface Side {
  readonly key: number;
  readonly from: number;
  readonly to: number;
  readonly lengthMm: number;
  faces: number;
}

const keyOf = (a: number, b: number, vertexCount: number): number =>
  Math.min(a, b) * vertexCount + Math.max(a, b);

/** Every side once, the longest first. */
function sidesOf({ positions, triangles }: TriangleMesh): Side[] {
  const vertexCount = positions.length / 3;
  const found = new Map<number, Side>();
  for (let corner = 0; corner < triangles.length; corner++) {
    const from = triangles[corner]!;
    const to = triangles[corner % 3 === 2 ? corner - 2 : corner + 1]!;
    const key = keyOf(from, to, vertexCount);
    const known = found.get(key);
    if (known) known.faces += 1;
    else {
      const along = [0, 1, 2].map((k) => positions[3 * to + k]! - positions[3 * from + k]!);
      found.set(key, { key, from, to, lengthMm: Math.hypot(...along), faces: 1 });
    }
  }
  return [...found.values()].sort((a, b) => b.lengthMm - a.lengthMm);
}

/** A triangle cut through the middles it has: `middles[k]` lies between corners k and k + 1. */
function pieces(
  corners: readonly [number, number, number],
  middles: readonly (number | undefined)[],
): number[] {
  const halved = middles.filter((middle) => middle !== undefined).length;
  if (halved === 0) return [...corners];
  // Turned so that the side halved alone, or the one not halved, is the first.
  const first = middles.findIndex((middle) => (halved === 2) === (middle === undefined));
  const [a, b, c] = [0, 1, 2].map((k) => corners[(first + k) % 3]!) as [number, number, number];
  const [ab, bc, ca] = [0, 1, 2].map((k) => middles[(first + k) % 3]) as [number, number, number];
  if (halved === 1) return [a, ab, c, ab, b, c];
  if (halved === 2) return [a, b, bc, a, bc, ca, ca, bc, c];
  return [a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca];
}
