import { cutMesh } from '../geometry/plane-section.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, lerp, sub } from '../geometry/vec3.ts';
import type { Segmentation } from '../teeth/types.ts';
import { contactFrame } from './contact-frame.ts';
import type { Analysis, Contact, SectionProfile } from './types.ts';

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
  analysis: Analysis,
  contact: Contact,
): SectionProfile {
  const { t, o, b } = contactFrame(analysis.frame, analysis.jaw, contact.closingDirection);
  const origin = middleOf(analysis, contact);
  const owner = (label: number): number =>
    label === contact.toothA ? 0 : label === contact.toothB ? 1 : label === 0 ? 2 : -1;
  const parts: [number[], number[], number[]] = [[], [], []];
  for (let i = 0; i < segmentation.labels.length; i += 1) {
    const part = parts[owner(segmentation.labels[i]!)];
    if (part === undefined) continue;
    const v = 3 * scan.triangles[3 * i]!;
    const p: Vec3 = [scan.positions[v]!, scan.positions[v + 1]!, scan.positions[v + 2]!];
    const d = sub(p, origin);
    if (dot(d, d) < SECTION_REACH_MM * SECTION_REACH_MM) part.push(i);
  }
  const project = (p: Vec3): [number, number] => {
    const d = sub(p, origin);
    return [dot(d, t), dot(d, o)];
  };
  const lines = (part: readonly number[]): number[][] =>
    cutMesh(scan, Uint32Array.from(part), origin, b).map((line) => line.flatMap(project));
  const measured = contact.gap !== null && contact.pointA !== null && contact.pointB !== null;
  return {
    toothA: contact.toothA,
    toothB: contact.toothB,
    origin,
    u: t,
    v: o,
    linesA: lines(parts[0]),
    linesB: lines(parts[1]),
    linesGum: lines(parts[2]),
    a: measured && contact.pointA ? project(contact.pointA) : null,
    b: measured && contact.pointB ? project(contact.pointB) : null,
    outOfPlaneMm:
      contact.pointA && contact.pointB ? Math.abs(dot(sub(contact.pointB, contact.pointA), b)) : 0,
  };
}

/** Middle of the two points, else of the two teeth. */
function middleOf(analysis: Analysis, contact: Contact): Vec3 {
  if (contact.pointA !== null && contact.pointB !== null) return lerp(contact.pointA, contact.pointB, 0.5);
  const centres = [contact.toothA, contact.toothB].map(
    (tooth) => analysis.teeth.find((record) => record.tooth === tooth)?.centre,
  );
  const [a, b] = centres;
  if (a !== undefined && b !== undefined) return lerp(a, b, 0.5);
  return a ?? b ?? analysis.frame.origin;
}
