import { cutMesh } from '../geometry/plane-section.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { addScaled, dot, lerp, sub } from '../geometry/vec3.ts';
import type { Segmentation, ToothMap } from '../teeth/types.ts';
import { contactFrame } from './contact-frame.ts';
import { polynomialAt } from './patch-basis.ts';
import type { Analysis, Contact, FittedWalls, SectionProfile } from './types.ts';

/** What a cut needs to know of the arch and of the contact. */
type CutArch = Pick<Analysis, 'frame' | 'jaw'> & {
  readonly teeth: readonly Pick<Analysis['teeth'][number], 'tooth' | 'centre'>[];
};
type CutContact = Pick<
  Contact,
  'toothA' | 'toothB' | 'closingDirection' | 'gap' | 'fittedWalls' | 'pointA' | 'pointB'
>;

/** The picture shows this much around the contact, mm. */
const SECTION_REACH_MM = 9;

/**
 * The cut through a contact: the plane spanned by the closing direction (u) and the occlusal axis (v) through the
 * middle of the two points. Where a contact has no points (nothing was seen), the plane goes through the middle
 * between the two tooth centres.
 *
 * @param scan - the surface that was measured, scan frame
 * @param segmentation - labels of that surface
 */
export function cutSection(
  scan: TriangleMesh,
  segmentation: Pick<Segmentation, 'labels'>,
  analysis: CutArch,
  contact: CutContact,
): SectionProfile {
  const { t, o, b } = contactFrame(analysis.frame, analysis.jaw, contact.closingDirection);
  const origin = middleOf(analysis, contact);
  const near = trianglesNear(scan, origin, SECTION_REACH_MM);
  const project = (p: Vec3): [number, number] => {
    const d = sub(p, origin);
    return [dot(d, t), dot(d, o)];
  };
  const lines = (label: number): number[][] =>
    cutMesh(scan, ofLabel(near, segmentation.labels, label), origin, b).map((line) => line.flatMap(project));
  const walls = contact.gap === null ? undefined : contact.fittedWalls;
  const measured = contact.gap !== null && contact.pointA !== null && contact.pointB !== null;
  return {
    toothA: contact.toothA,
    toothB: contact.toothB,
    origin,
    u: t,
    v: o,
    linesA: lines(contact.toothA),
    linesB: lines(contact.toothB),
    linesGum: lines(0),
    ...(walls === undefined
      ? {}
      : {
          fitA: fittedLine(walls, walls.a, origin, b).flatMap(project),
          fitB: fittedLine(walls, walls.b, origin, b).flatMap(project),
        }),
    a: measured && contact.pointA ? project(contact.pointA) : null,
    b: measured && contact.pointB ? project(contact.pointB) : null,
    outOfPlaneMm:
      contact.pointA && contact.pointB ? Math.abs(dot(sub(contact.pointB, contact.pointA), b)) : 0,
  };
}

/** Points per fitted line, and Newton steps to bring each into the plane (the line is nearly straight across u). */
const LINE_POINTS = 41;
const PLANE_STEPS = 8;

/** Where a fitted wall crosses the plane through `origin` with normal b: one point per height v in the window. */
function fittedLine(walls: FittedWalls, coefficients: readonly number[], origin: Vec3, b: Vec3): Vec3[] {
  const r = walls.radiusMm;
  const c = Float64Array.from(coefficients);
  const line: Vec3[] = [];
  for (let k = 0; k < LINE_POINTS; k += 1) {
    const v = r * ((2 * k) / (LINE_POINTS - 1) - 1);
    let u = 0;
    let p = walls.origin;
    for (let step = 0; step < PLANE_STEPS; step += 1) {
      const at = polynomialAt(walls.degree, c, u / r, v / r);
      p = addScaled(addScaled(addScaled(walls.origin, walls.u, u), walls.v, v), walls.w, at.z);
      const slope = dot(walls.u, b) + (at.zu / r) * dot(walls.w, b);
      u -= dot(sub(p, origin), b) / slope;
    }
    if (u * u + v * v <= r * r) line.push(p);
  }
  return line;
}

/** Middle of the two points, else of the two teeth. */
function middleOf(analysis: CutArch, contact: CutContact): Vec3 {
  if (contact.pointA !== null && contact.pointB !== null) return lerp(contact.pointA, contact.pointB, 0.5);
  const centres = [contact.toothA, contact.toothB].map(
    (tooth) => analysis.teeth.find((record) => record.tooth === tooth)?.centre,
  );
  const [a, b] = centres;
  if (a !== undefined && b !== undefined) return lerp(a, b, 0.5);
  return a ?? b ?? analysis.frame.origin;
}

/** Triangles whose first corner lies nearer to a place than that. */
function trianglesNear(
  { positions, triangles }: TriangleMesh,
  [x0, y0, z0]: Vec3,
  reachMm: number,
): number[] {
  const near: number[] = [];
  for (let t = 0; 3 * t < triangles.length; t += 1) {
    const v = 3 * triangles[3 * t]!;
    const x = positions[v]! - x0;
    const y = positions[v + 1]! - y0;
    const z = positions[v + 2]! - z0;
    if (x * x + y * y + z * z < reachMm * reachMm) near.push(t);
  }
  return near;
}

function ofLabel(triangles: readonly number[], labels: ToothMap, label: number): Uint32Array {
  const found: number[] = [];
  for (const t of triangles) if (labels[t] === label) found.push(t);
  return Uint32Array.from(found);
}
