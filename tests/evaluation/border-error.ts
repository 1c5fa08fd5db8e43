import type { TriangleMesh } from '../../src/geometry/types.ts';
import type { ToothMap } from '../../src/teeth/types.ts';
import { quantile } from './statistics.ts';

/** Distances are cut off here, also where one side has no such border at all, mm: one lost border is one failure. */
export const BORDER_CAP_MM = 4;

/** The borders of a label map: middles of the edges between unlike triangles, mm, flat x y z. */
export interface LabelBorders {
  /** By tooth: where it meets what is no tooth. */
  readonly gum: ReadonlyMap<string, readonly number[]>;
  /** By pair of teeth, smaller number first ("11-21"): where they meet. */
  readonly teeth: ReadonlyMap<string, readonly number[]>;
}

/** Collects the borders of a label map. @param adjacency - from `faceAdjacency` */
export function labelBorders(mesh: TriangleMesh, adjacency: Int32Array, labels: ToothMap): LabelBorders {
  const gum = new Map<string, number[]>();
  const teeth = new Map<string, number[]>();
  for (let half = 0; half < adjacency.length; half += 1) {
    const t = Math.floor(half / 3);
    const n = adjacency[half]!;
    if (n < t) continue;
    const low = Math.min(labels[t]!, labels[n]!);
    const high = Math.max(labels[t]!, labels[n]!);
    if (low === high) continue;
    const kind = low === 0 ? gum : teeth;
    const key = low === 0 ? `${high}` : `${low}-${high}`;
    const points = kind.get(key) ?? [];
    if (points.length === 0) kind.set(key, points);
    const v = 3 * mesh.triangles[half]!;
    const w = 3 * mesh.triangles[3 * t + ((half + 1) % 3)]!;
    for (let c = 0; c < 3; c += 1) points.push((mesh.positions[v + c]! + mesh.positions[w + c]!) / 2);
  }
  return { gum, teeth };
}

/**
 * Symmetric distances of two sets of borders: of every point of either to the nearest point of the other's border of
 * the same name, mm, cut off at {@link BORDER_CAP_MM}.
 */
export function borderDistances(a: LabelBorders['gum'], b: LabelBorders['gum']): number[] {
  const distances: number[] = [];
  for (const key of new Set([...a.keys(), ...b.keys()])) {
    const own = a.get(key) ?? [];
    const other = b.get(key) ?? [];
    pushNearest(own, other, distances);
    pushNearest(other, own, distances);
  }
  return distances;
}

function pushNearest(from: readonly number[], to: readonly number[], distances: number[]): void {
  for (let i = 0; i < from.length; i += 3) {
    let best = BORDER_CAP_MM ** 2;
    for (let j = 0; j < to.length; j += 3) {
      const x = from[i]! - to[j]!;
      const y = from[i + 1]! - to[j + 1]!;
      const z = from[i + 2]! - to[j + 2]!;
      best = Math.min(best, x * x + y * y + z * z);
    }
    distances.push(Math.sqrt(best));
  }
}

export interface BorderError {
  readonly points: number;
  readonly medianMm: number | null;
  readonly p95Mm: number | null;
}

export function borderError(distances: readonly number[]): BorderError {
  return {
    points: distances.length,
    medianMm: quantile(distances, 0.5),
    p95Mm: quantile(distances, 0.95),
  };
}
