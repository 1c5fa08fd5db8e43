import { faceAdjacency } from '../geometry/adjacency.ts';
import { letGo } from '../geometry/let-go.ts';
import { type Point2, StarOutline } from '../geometry/star-outline.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import type { OcclusalFrame, ToothMap, ToothNumber } from './types.ts';

/**
 * The outline of every labelled crown seen from the crowns' tops: how far its triangles, projected into the occlusal
 * plane, reach along rays from its centre. Exact on each ray for a crown that is star-shaped from its centre, which
 * teeth seen from above are; a hollow that no straight line from the centre reaches is drawn filled. Only edges at which
 * the projection may end are followed: those of the crown's border, and those whose two triangles lie on one side of
 * them; beyond any other edge the shape goes on.
 *
 * @param labels - ISO 3950 number per triangle
 * @param centres - of the teeth wanted, scan frame, mm
 * @returns per tooth a closed polygon, flat [x0, y0, x1, y1, ...] in the occlusal frame (x to the patient's left, y to
 *   the front), mm to the micrometre; a crown that does not surround its centre has none
 */
export function crownOutlines(
  mesh: TriangleMesh,
  labels: ToothMap,
  frame: OcclusalFrame,
  centres: ReadonlyMap<ToothNumber, Vec3>,
): Map<ToothNumber, readonly number[]> {
  const middleOf = (point: Vec3): Point2 => {
    const offset = sub(point, frame.origin);
    return [dot(offset, frame.x), dot(offset, frame.y)];
  };
  const crowns = new Map([...centres].map(([tooth, centre]) => [tooth, new StarOutline(middleOf(centre))]));
  const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
  const flat = flattened(mesh, frame);
  followEdges(mesh.triangles, adjacency, labels, flat, crowns);
  letGo(flat);
  const outlines = new Map<ToothNumber, readonly number[]>();
  for (const [tooth, crown] of crowns) {
    const polygon = crown.polygon();
    if (polygon !== null) outlines.set(tooth, polygon);
  }
  return outlines;
}

/** Takes every edge at which a crown's projection may end into its outline. */
function followEdges(
  triangles: Uint32Array,
  adjacency: Int32Array,
  labels: ToothMap,
  flat: Float64Array,
  crowns: ReadonlyMap<ToothNumber, StarOutline>,
): void {
  for (let f = 0; f < labels.length; f++) {
    const label = labels[f]!;
    const crown = label === 0 ? undefined : crowns.get(label);
    if (crown === undefined) continue;
    for (let k = 0; k < 3; k++) {
      const a = triangles[3 * f + k]!;
      const b = triangles[3 * f + ((k + 1) % 3)]!;
      const g = adjacency[3 * f + k]!;
      if (g >= 0 && labels[g] === label) {
        const here = sideOf(flat, a, b, triangles[3 * f + ((k + 2) % 3)]!);
        const there = sideOf(flat, a, b, thirdCorner(triangles, g, a, b));
        if (here * there < 0) continue;
      }
      crown.addEdge(flat, a, b);
    }
  }
}

/** (n x 2) vertices in the occlusal plane, mm. */
function flattened({ positions }: TriangleMesh, { origin, x, y }: OcclusalFrame): Float64Array {
  const flat = new Float64Array((positions.length / 3) * 2);
  for (let v = 0; v < positions.length / 3; v++) {
    const dx = positions[3 * v]! - origin[0];
    const dy = positions[3 * v + 1]! - origin[1];
    const dz = positions[3 * v + 2]! - origin[2];
    flat[2 * v] = dx * x[0] + dy * x[1] + dz * x[2];
    flat[2 * v + 1] = dx * y[0] + dy * y[1] + dz * y[2];
  }
  return flat;
}

/** On which side of the line from a to b the point c lies: sign as of the triangle's area. */
function sideOf(flat: Float64Array, a: number, b: number, c: number): number {
  const ax = flat[2 * a]!;
  const ay = flat[2 * a + 1]!;
  return Math.sign(
    (flat[2 * b]! - ax) * (flat[2 * c + 1]! - ay) - (flat[2 * b + 1]! - ay) * (flat[2 * c]! - ax),
  );
}

function thirdCorner(triangles: Uint32Array, t: number, a: number, b: number): number {
  for (let k = 0; k < 2; k++) {
    const v = triangles[3 * t + k]!;
    if (v !== a && v !== b) return v;
  }
  return triangles[3 * t + 2]!;
}
