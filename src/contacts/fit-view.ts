import { indexSurface } from '../geometry/surface-distance.ts';
import { triangleNormals } from '../geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, scale, vertexAt } from '../geometry/vec3.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { contactFrame } from './contact-frame.ts';
import { type ContactMap, contactMap } from './contact-map.ts';
import { cutSection } from './cut-section.ts';
import { mergeRestoration } from './fit-space.ts';
import type { FitScan, FitSide } from './fit-types.ts';
import { contactRecord } from './measure-arch.ts';
import { NOTHING_SEEN } from './measure-pair.ts';
import { FACING_COSINE } from './tolerances.ts';
import type { Contact, SectionProfile } from './types.ts';

/** What is drawn of one side of a restoration. */
export interface FitView {
  readonly section: SectionProfile;
  /** The side as the section picture takes it. */
  readonly contact: Contact;
  /** The restoration's wall as its neighbour sees it; null where there is no number. */
  readonly map: ContactMap | null;
}

/** A restoration has a target, no limit. */
const NO_LIMIT_MM = 0;

/** The pictures of one side; null where nothing stands there. */
export function fitView(
  restoration: TriangleMesh,
  tooth: ToothNumber,
  scan: FitScan,
  side: FitSide,
): FitView | null {
  const { neighbour, closingDirection, space, ends } = side;
  if (neighbour === null || closingDirection === null) return null;
  const isFirst = side.neighbourIsFirst;
  const [toothA, toothB] = isFirst ? [neighbour, tooth] : [tooth, neighbour];
  const directions = contactFrame(scan.frame, scan.jaw, closingDirection);
  const contact = contactRecord(scan, { toothA, toothB, between: [] }, directions, NO_LIMIT_MM, {
    ...NOTHING_SEEN,
    gap: space && { ...space, basis: 'patch', terms: [] },
    pointA: ends && (isFirst ? ends.neighbour : ends.own),
    pointB: ends && (isFirst ? ends.own : ends.neighbour),
  });
  const merged = mergeRestoration(restoration, tooth, scan);
  const middle = meanOf(restoration);
  const teeth = [
    { tooth, centre: middle },
    { tooth: neighbour, centre: scan.centres.get(neighbour)! },
  ];
  const section = cutSection(merged.mesh, merged, { ...scan, teeth }, contact);
  return { section, contact, map: side.point && mapOf(restoration, scan, side, neighbour, closingDirection) };
}

function mapOf(
  restoration: TriangleMesh,
  scan: FitScan,
  { point, neighbourIsFirst }: FitSide,
  neighbour: ToothNumber,
  closingDirection: Vec3,
): ContactMap | null {
  const frame = contactFrame(scan.frame, scan.jaw, closingDirection);
  const wall = facingWall(scan, neighbour, neighbourIsFirst ? closingDirection : scale(closingDirection, -1));
  if (wall.length === 0 || point === null) return null;
  const own = indexSurface(restoration);
  return contactMap(
    own,
    indexSurface(scan.mesh, wall),
    frame,
    neighbourIsFirst ? -1 : 1,
    'sheet',
    point,
    point,
  );
}

/** Triangles of a tooth that look along a direction: the rest of it has no contact there. */
export function facingWall({ mesh, labels }: FitScan, tooth: ToothNumber, direction: Vec3): Uint32Array {
  const normals = triangleNormals(mesh);
  const wall: number[] = [];
  for (let f = 0; f < labels.length; f += 1) {
    if (labels[f] === tooth && dot(vertexAt(normals, f), direction) > FACING_COSINE) wall.push(f);
  }
  return Uint32Array.from(wall);
}

function meanOf({ positions }: TriangleMesh): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < positions.length; i += 1) sum[i % 3]! += positions[i]!;
  const count = positions.length / 3;
  return [sum[0] / count, sum[1] / count, sum[2] / count];
}
