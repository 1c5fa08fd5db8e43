import type { Analysis, Contact } from '../contacts/types.ts';
import { composeMotions, invertMotion, type RigidMotion } from '../geometry/rigid.ts';
import { closestBetween, type IndexedSurface, indexSurface } from '../geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { addScaled, distance, vertexAt } from '../geometry/vec3.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import type { MeasureMoved } from './moved-mesh.ts';
import { OVERLAP_BISECTIONS, OVERLAP_SEARCH_MM, WALL_REACH_MM } from './tolerances.ts';

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
 * surface is not that of the teeth, and the answer is null.
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
  if (contact.gap === null || contact.pointA === null || contact.pointB === null) return null;
  const a = trianglesNear(mesh, labels, contact.toothA, contact.pointA);
  const b = trianglesNear(mesh, labels, contact.toothB, contact.pointB);
  if (a.length === 0 || b.length === 0) return null;
  return { a: indexSurface(mesh, a), b: indexSurface(mesh, b), closing: contact.closingDirection };
}

function trianglesNear(mesh: TriangleMesh, labels: ToothMap, tooth: ToothNumber, place: Vec3): Uint32Array {
  const near: number[] = [];
  for (let t = 0; t < labels.length; t += 1) {
    if (labels[t] !== tooth) continue;
    for (let k = 0; k < 3; k += 1) {
      if (distance(vertexAt(mesh.positions, mesh.triangles[3 * t + k]!), place) > WALL_REACH_MM) continue;
      near.push(t);
      break;
    }
  }
  return Uint32Array.from(near);
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
