import type { Analysis, Contact } from '../contacts/types.ts';
import { composeMotions, IDENTITY_MOTION, invertMotion, type RigidMotion } from '../geometry/rigid.ts';
import { closestBetween, type IndexedSurface, indexSurface } from '../geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { addScaled, cross, distance, dot, length, scale, sub, vertexAt } from '../geometry/vec3.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import type { MeasureMoved } from './moved-mesh.ts';
import {
  CREASE_MM,
  FACING_COSINE,
  OVERLAP_BISECTIONS,
  OVERLAP_SEARCH_MM,
  SAME_WALL_MM,
  WALL_REACH_MM,
} from './tolerances.ts';

/** The two walls of one contact, near the place where they are closest. */
interface Walls {
  readonly a: IndexedSurface;
  readonly b: IndexedSurface;
  readonly closing: Vec3;
}

/**
 * Measures contacts on moved crowns with the surfaces themselves: the exact smallest distance of the two walls within
 * reach of the measured contact points; where the walls run into each other, how far the second has to back off along
 * the closing direction before they are free, as a negative number.
 *
 * Only contacts whose walls were both seen can be asked about: where the scanner laid a web from tooth to tooth the
 * surface is not that of the teeth, and the answer is null. So it is where the walls found here do not show the
 * smallest distance that was measured.
 *
 * @param mesh - the scan, or all crowns in one mesh; not modified
 * @param labels - ISO 3950 number per triangle
 */
export function surfaceSpaces(mesh: TriangleMesh, labels: ToothMap, analysis: Analysis): MeasureMoved {
  const prepared = new Map<string, Walls | null>();
  const wallsOf = (toothA: ToothNumber, toothB: ToothNumber): Walls | null => {
    const key = `${toothA}-${toothB}`;
    const known = prepared.get(key);
    if (known !== undefined) return known;
    const contact = analysis.contacts.find((c) => c.toothA === toothA && c.toothB === toothB);
    const walls = contact ? prepareWalls(mesh, labels, contact) : null;
    prepared.set(key, walls);
    return walls;
  };
  return (toothA, toothB, motionA, motionB) => {
    const walls = wallsOf(toothA, toothB);
    if (walls === null) return null;
    // B as A sees it: A stays, B moves by the difference.
    return signedSpace(walls, composeMotions(invertMotion(motionA), motionB));
  };
}

function prepareWalls(mesh: TriangleMesh, labels: ToothMap, contact: Contact): Walls | null {
  const { gap, pointA, pointB, closingDirection, nearestMm } = contact;
  if (gap === null || pointA === null || pointB === null || nearestMm === null) return null;
  const a = wallNear(mesh, labels, contact.toothA, pointA, closingDirection);
  const b = wallNear(mesh, labels, contact.toothB, pointB, scale(closingDirection, -1));
  if (a.length === 0 || b.length === 0) return null;
  const walls = { a: indexSurface(mesh, a), b: indexSurface(mesh, b), closing: closingDirection };
  // Walls that do not show the space that was measured are not the walls it was measured on.
  const off = Math.abs(signedSpace(walls, IDENTITY_MOTION) - nearestMm);
  return off <= SAME_WALL_MM ? walls : null;
}

/**
 * Triangles of a tooth within reach of its contact point that face along `outward` and are clear of the crease where
 * the tooth meets gum or another label (gap.md, section 2: there the surface is the scanner's, not the tooth's).
 */
function wallNear(
  mesh: TriangleMesh,
  labels: ToothMap,
  tooth: ToothNumber,
  place: Vec3,
  outward: Vec3,
): Uint32Array {
  const { positions, triangles } = mesh;
  const reachMm = WALL_REACH_MM + 2 * CREASE_MM;
  const near: number[] = [];
  const own = new Set<number>();
  const foreign = new Set<number>();
  for (let t = 0; t < labels.length; t += 1) {
    // Corners beyond reach and crease cannot matter; edges are far shorter than the crease is wide.
    const v = 3 * triangles[3 * t]!;
    const x = positions[v]! - place[0];
    const y = positions[v + 1]! - place[1];
    const z = positions[v + 2]! - place[2];
    if (x * x + y * y + z * z > reachMm * reachMm) continue;
    const set = labels[t] === tooth ? own : foreign;
    for (let k = 0; k < 3; k += 1) set.add(triangles[3 * t + k]!);
    if (labels[t] === tooth) near.push(t);
  }
  const border: Vec3[] = [];
  let clearance = CREASE_MM;
  for (const v of own) {
    if (!foreign.has(v)) continue;
    const p = vertexAt(positions, v);
    border.push(p);
    clearance = Math.min(clearance, 0.8 * distance(p, place));
  }
  const kept: number[] = [];
  for (const t of near) {
    const p = vertexAt(positions, triangles[3 * t]!);
    const q = vertexAt(positions, triangles[3 * t + 1]!);
    const r = vertexAt(positions, triangles[3 * t + 2]!);
    if (distance(p, place) > WALL_REACH_MM) continue;
    const normal = cross(sub(q, p), sub(r, p));
    if (dot(normal, outward) < FACING_COSINE * length(normal)) continue;
    if (
      isClearOf(border, clearance, p) &&
      isClearOf(border, clearance, q) &&
      isClearOf(border, clearance, r)
    ) {
      kept.push(t);
    }
  }
  return Uint32Array.from(kept);
}

/** Whether a point lies farther than that from all points of a border. */
function isClearOf(border: readonly Vec3[], clearanceMm: number, p: Vec3): boolean {
  for (const edge of border) if (!(distance(edge, p) > clearanceMm)) return false;
  return true;
}

function signedSpace(walls: Walls, motionOfB: RigidMotion): number {
  const apart = (backOffMm: number): number =>
    closestBetween(walls.a, walls.b, {
      motionOfB: {
        rotation: motionOfB.rotation,
        translation: addScaled(motionOfB.translation, walls.closing, backOffMm),
      },
    }).distanceMm;
  const space = apart(0);
  if (space > 0) return space;
  let inside = 0;
  let free = OVERLAP_SEARCH_MM;
  for (let i = 0; i < OVERLAP_BISECTIONS; i += 1) {
    const middle = (inside + free) / 2;
    if (apart(middle) > 0) free = middle;
    else inside = middle;
  }
  return -free;
}
