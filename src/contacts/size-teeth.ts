import { gatherPoints } from '../geometry/gather-points.ts';
import type { JobControl } from '../geometry/job-control.ts';
import { joinPoints } from '../geometry/join-points.ts';
import { letGo } from '../geometry/let-go.ts';
import { select } from '../geometry/median.ts';
import { makePointGrid } from '../geometry/point-grid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add, dot, lerp, scale, sub, vertexAt } from '../geometry/vec3.ts';
import { archTangentAt } from '../teeth/arch-curve.ts';
import { digitOf, quadrantOf } from '../teeth/notation.ts';
import type { ToothMarks, ToothNumber, ToothRecord } from '../teeth/types.ts';
import { type ArchSurface, medianEdgeOf, type ToothSurface } from './arch-surface.ts';
import { clearVertices } from './clear-vertices.ts';
import { contactFrame } from './contact-frame.ts';
import { type CrownAxes, crownAxes, FIRST_MOLAR, type SeenCrown } from './crown-axes.ts';
import { facingTop, meanAbove, type OutPoints } from './facing-top.ts';
import { fitPatch, patchAt } from './fit-patch.ts';
import { windowFrame } from './fit-window.ts';
import type { LabelledArch } from './measure-arch.ts';
import { neighbourPairs } from './neighbour-pairs.ts';
import type { PatchDegree } from './patch-basis.ts';
import { GUM_MARGIN_MM } from './tolerances.ts';
import { type TouchingWalls, touchingWalls } from './touching-walls.ts';
import type { Contact } from './types.ts';
import { COVERAGE_FACTOR, combineStandard } from './uncertainty.ts';
import { type Web, webBetween } from './web-between.ts';
import { webValley } from './web-valley.ts';

/** Nearer to a web than this the surface is the scanner's, not the tooth's, mm. */
const WEB_CLEAR_MM = 0.3;
/** The outermost place of a wall is read from a quartic over a window of this radius, mm ... */
const TOP_WINDOW_MM = 1.2;
/** ... or, where too little of it is seen for that, from a paraboloid over a smaller one. */
const SMALL_WINDOW_MM = 0.8;
/** ... within this share of it, so that nothing is extended beyond what was seen. */
const TOP_SHARE = 0.8;
/** A few stray points lie farther out than the surface: the window is set on the point after this many. */
const STRAY_POINTS = 4;
const ANCHORS: readonly number[] = [STRAY_POINTS, 3 * STRAY_POINTS, 9 * STRAY_POINTS];
const LAST_ANCHOR = 9 * STRAY_POINTS;
/** Points within this of the outermost place say where across the wall it lies, mm. */
const CAP_MM = 0.25;
/** What the ridge itself says of a wall behind a web, against both walls carried on there with the ridge as their middle. */
const RIDGE_SHARE = 0.3;
/** Where across its ridge a web is parted between the two teeth: quantile of its heights along the tooth. */
const RIDGE_QUANTILE = 0.6;
/** Walls carried on behind a web that end up farther than this from its ridge are not believed, mm. */
const CARRIED_ASTRAY_MM = 0.3;
/** Extent across the row leaves out this share of the points at either end: single stray points do not count. */
const EXTENT_TRIM = 0.002;
/** ISO quadrants of the patient's right. */
const RIGHT_QUADRANTS: readonly number[] = [1, 4];
/** A cusp's tip is the mean of the points within this of its highest, mm. */
const TIP_MM = 0.15;

/**
 * Standard uncertainties, mm, set after the errors against true widths of synthetic scans and of the project's own
 * invented mouths (docs/validation.md), not checked on real teeth: a side whose outermost place is seen, one that a
 * web hides, the buccolingual extent, and the gum's edge for the crown height.
 */
const SEEN_SIDE_MM = 0.03;
const HIDDEN_SIDE_MM = 0.065;
const ACROSS_MM = 0.08;
const GUM_EDGE_MM = 0.15;

/**
 * Standard uncertainties of the direction a crown is measured along, rad: its turn about the long axis, of front teeth,
 * premolars and molars (0.3, 1.5 and 1.6 degrees on synthetic crowns; real ones are less even), and its tilt. They count
 * as far as the two outermost places do not lie opposite each other.
 */
const FRONT_TURN_RAD = (1 * Math.PI) / 180;
const PREMOLAR_TURN_RAD = (2 * Math.PI) / 180;
const MOLAR_TURN_RAD = (2.5 * Math.PI) / 180;
const TILT_RAD = (2 * Math.PI) / 180;
const FIRST_PREMOLAR = 4;

function turnUncertaintyRad(digit: number): number {
  if (digit >= FIRST_MOLAR) return MOLAR_TURN_RAD;
  return digit >= FIRST_PREMOLAR ? PREMOLAR_TURN_RAD : FRONT_TURN_RAD;
}

/** The web on one side of a crown, with both walls behind it where they could be followed. */
interface SideWeb {
  readonly web: Web;
  readonly walls: TouchingWalls | null;
  /** A space was measured beside the web, or it is too small to hide where walls touch: they do not. */
  readonly apart: boolean;
}

/** One side of a crown: its height along the outward direction, where, and whether it was seen. */
interface Side {
  readonly heightMm: number;
  readonly place: Vec3;
  readonly seen: boolean;
}

/**
 * Sizes of the crowns after the contacts are known. Mesiodistal width: the greatest extent of the crown along its own
 * mesiodistal axis, as a caliper finds it between the contact areas; on each side the outermost place of a patch
 * fitted to the wall that is seen, or, where a web hides it and lies farther out, what its ridge and the walls behind
 * it say ({@link touchingWalls}). That takes the contact for closed: beside a web where a space was measured, and beside
 * one too small to hide where walls touch, only what is seen counts.
 * Buccolingual width: the extent across. Crown height stays as the labels show it, from the gum's edge.
 *
 * @param records - from `measureTeeth`, arch order
 * @param contacts - as measured between them; empty: every web is taken for a closed contact
 * @returns the same records with refined sizes, their uncertainties and marks; a record whose walls are not seen well
 *   enough has no mesiodistal width and no marks
 */
export async function sizeTeeth(
  arch: LabelledArch,
  surface: ArchSurface,
  records: readonly ToothRecord[],
  contacts: readonly Contact[],
  control: JobControl,
): Promise<ToothRecord[]> {
  const webs = new Map<string, SideWeb>();
  for (const { toothA, toothB, between } of neighbourPairs(arch.jaw, [...arch.centres.keys()])) {
    const a = arch.centres.get(toothA);
    const b = arch.centres.get(toothB);
    const [wallA, wallB] = [surface.teeth.get(toothA), surface.teeth.get(toothB)];
    if (between.length > 0 || !a || !b || !wallA || !wallB) continue;
    const frame = contactFrame(arch.frame, arch.jaw, archTangentAt(arch.curve, lerp(a, b, 0.5)));
    const border = webBetween(surface, toothA, toothB, frame);
    const web =
      border.state === 'none'
        ? border
        : { ...border, ridge: webValley(surface, wallA, wallB, frame, border) };
    const apart =
      seenThrough(border) ||
      contacts.some((c) => c.toothA === toothA && c.toothB === toothB && c.gap !== null);
    const walls = apart ? null : touchingWalls(surface, wallA, wallB, frame, web);
    webs.set(`left of ${toothA}`, { web, walls, apart });
    webs.set(`right of ${toothB}`, { web, walls, apart });
  }
  const sized: ToothRecord[] = [];
  for (const record of records) {
    await control.checkpoint(sized.length / records.length, 'sizing the teeth');
    const tooth = surface.teeth.get(record.tooth);
    const right = webs.get(`right of ${record.tooth}`) ?? null;
    const left = webs.get(`left of ${record.tooth}`) ?? null;
    sized.push(tooth === undefined ? record : sizeTooth(arch, surface, tooth, record, right, left));
  }
  return sized;
}

/** So small a web that the walls are seen on both sides of it up to each other. */
function seenThrough({ widthMm, heightMm }: Web): boolean {
  return widthMm !== null && heightMm !== null && Math.max(widthMm, heightMm) < 2 * WEB_CLEAR_MM;
}

/** Points and normals of a crown away from gum, cut and webs. */
function visibleWalls(
  surface: ArchSurface,
  tooth: ToothSurface,
  webs: readonly (SideWeb | null)[],
): SeenCrown {
  const gum = makePointGrid(joinPoints(tooth.gumLine, tooth.cutLine), GUM_MARGIN_MM);
  const ridges = webs.flatMap((side) =>
    side === null ? [] : [side.web.border, ...(side.web.doubtful === null ? [] : [side.web.doubtful.border])],
  );
  const web = makePointGrid(joinPoints(...ridges), WEB_CLEAR_MM);
  const seen = clearVertices(surface.mesh.positions, tooth.vertices, gum, web);
  const walls = {
    points: gatherPoints(surface.mesh.positions, seen),
    normals: gatherPoints(surface.normals, seen),
  };
  letGo(seen);
  return walls;
}

function sizeTooth(
  arch: LabelledArch,
  surface: ArchSurface,
  tooth: ToothSurface,
  record: ToothRecord,
  webRight: SideWeb | null,
  webLeft: SideWeb | null,
): ToothRecord {
  const walls = visibleWalls(surface, tooth, [webRight, webLeft]);
  const axes = crownAxes(record.tooth, walls, archTangentAt(arch.curve, record.centre), arch.frame.z);
  const edgeMm = medianEdgeOf(surface.mesh, tooth.triangles);
  const left = outermost(walls, axes, 1, webLeft, edgeMm);
  const right = outermost(walls, axes, -1, webRight, edgeMm);
  letGo(walls.points, walls.normals);
  if (left === null || right === null) return { ...record, mesiodistalMm: null };
  const span = sub(left.place, right.place);
  const turnRad = turnUncertaintyRad(digitOf(record.tooth));
  const directionMm = combineStandard([turnRad * dot(span, axes.b), TILT_RAD * dot(span, axes.o)]);
  const buccolingualMm = extentAlong(surface, tooth, axes.b);
  const sideMm = (side: Side) => (side.seen ? SEEN_SIDE_MM : HIDDEN_SIDE_MM);
  const u95 = (...terms: number[]) => COVERAGE_FACTOR * combineStandard(terms);
  const marks: ToothMarks = {
    right: right.place,
    left: left.place,
    rightSeen: right.seen,
    leftSeen: left.seen,
    cusp: cuspTip(surface, tooth, record, axes, arch),
  };
  return {
    ...record,
    mesiodistalMm: left.heightMm + right.heightMm,
    buccolingualMm,
    sizesU95Mm: {
      mesiodistal: u95(sideMm(left), sideMm(right), directionMm),
      buccolingual: buccolingualMm === null ? null : u95(ACROSS_MM),
      crownHeight: record.crownHeightMm === null ? null : u95(GUM_EDGE_MM),
    },
    marks,
  };
}

/** The outermost place of one side, along m times `sign`; null when too little of it is seen. */
function outermost(
  seenCrown: SeenCrown,
  { m, b, o }: CrownAxes,
  sign: 1 | -1,
  side: SideWeb | null,
  edgeMm: number,
): Side | null {
  const out = scale(m, sign);
  const wall = facingTop(seenCrown, out, LAST_ANCHOR, 2 * TOP_WINDOW_MM);
  const seen = topOfWall(wall, out, o, edgeMm);
  if (seen === null) return null;
  const hidden =
    side === null || side.apart || side.web.state === 'none' ? null : hiddenHeight(side, sign, out);
  const behindWeb = hidden !== null && hidden > seen;
  const heightMm = behindWeb ? hidden : seen;
  const mean = meanAbove(wall, seen - CAP_MM);
  letGo(wall.points, wall.heights);
  const place = add(add(scale(out, heightMm), scale(b, dot(mean, b))), scale(o, dot(mean, o)));
  return { heightMm, place, seen: side === null || side.web.state === 'none' };
}

/** The outermost place that a patch can be fitted around: strays have no neighbours and are passed over. */
function topOfWall(wall: OutPoints, out: Vec3, up: Vec3, edgeMm: number): number | null {
  for (const place of ANCHORS) {
    if (place >= wall.heights.length) continue;
    const anchor = vertexAt(wall.points, place);
    const top =
      fittedTop(wall, anchor, { out, up }, edgeMm, 4, TOP_WINDOW_MM) ??
      fittedTop(wall, anchor, { out, up }, edgeMm, 2, SMALL_WINDOW_MM);
    if (top !== null) return top;
  }
  return null;
}

/** Greatest height of a patch fitted around the anchor, at places that were seen, mm. */
function fittedTop(
  { points }: OutPoints,
  anchor: Vec3,
  { out, up }: { readonly out: Vec3; readonly up: Vec3 },
  edgeMm: number,
  degree: PatchDegree,
  windowMm: number,
): number | null {
  const frame = windowFrame(anchor, out, up);
  const uvz: number[] = [];
  for (let i = 0; i < points.length; i += 3) {
    const d: Vec3 = [points[i]! - anchor[0], points[i + 1]! - anchor[1], points[i + 2]! - anchor[2]];
    const u = dot(d, frame.u);
    const v = dot(d, frame.v);
    const z = dot(d, out);
    if (u * u + v * v < windowMm ** 2 && Math.abs(z) < windowMm) uvz.push(u, v, z);
  }
  const fit = fitPatch({ uvz: Float64Array.from(uvz), count: uvz.length / 3 }, degree, windowMm, edgeMm);
  if (fit === null) return null;
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < uvz.length; i += 3) {
    const [u, v] = [uvz[i]!, uvz[i + 1]!];
    if (Math.hypot(u, v) < TOP_SHARE * windowMm) top = Math.max(top, patchAt(fit.patch, u, v).z);
  }
  return Number.isFinite(top) ? dot(anchor, out) + top : null;
}

/**
 * How far out a wall behind a web reaches: what both walls say that are carried on behind it, and to a third what its
 * ridge says; the ridge alone where they cannot be.
 */
function hiddenHeight({ web, walls }: SideWeb, sign: 1 | -1, out: Vec3): number | null {
  const ridge = ridgeHeight(web, out);
  // the left wall of a tooth is A's wall of the contact to its left
  const carried = walls === null ? null : walls.outermost(sign === 1 ? 'A' : 'B', out);
  if (ridge === null || carried === null || Math.abs(carried - ridge) > CARRIED_ASTRAY_MM) return ridge;
  return RIDGE_SHARE * ridge + (1 - RIDGE_SHARE) * carried;
}

function ridgeHeight(web: Web, out: Vec3): number | null {
  const count = web.ridge.length / 3;
  if (count === 0) return null;
  const heights = new Float64Array(count);
  for (let i = 0; i < count; i += 1) heights[i] = dot(vertexAt(web.ridge, i), out);
  heights.sort();
  return heights[Math.min(count - 1, Math.floor(RIDGE_QUANTILE * count))]!;
}

function extentAlong(surface: ArchSurface, tooth: ToothSurface, direction: Vec3): number | null {
  const { positions } = surface.mesh;
  const [x, y, z] = direction;
  const values = new Float64Array(tooth.vertices.length);
  for (let i = 0; i < values.length; i += 1) {
    const v = tooth.vertices[i]!;
    values[i] = positions[3 * v]! * x + positions[3 * v + 1]! * y + positions[3 * v + 2]! * z;
  }
  if (values.length === 0) return null;
  const skip = Math.floor(EXTENT_TRIM * values.length);
  const extent = select(values, values.length - 1 - skip) - select(values, skip);
  letGo(values);
  return extent;
}

/** Tip of a canine, or of a molar's mesiobuccal cusp: the highest place there. */
function cuspTip(
  surface: ArchSurface,
  { vertices }: ToothSurface,
  { tooth, centre }: ToothRecord,
  axes: CrownAxes,
  arch: LabelledArch,
): Vec3 | null {
  const digit = digitOf(tooth);
  if (digit < 3 || digit === 4 || digit === 5) return null;
  const inQuarter = digit === 3 ? null : mesiobuccal(tooth, centre, axes, arch);
  const points = new Float64Array(3 * vertices.length);
  const heights = new Float64Array(vertices.length);
  let count = 0;
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < vertices.length; i += 1) {
    const p = vertexAt(surface.mesh.positions, vertices[i]!);
    if (inQuarter !== null && !liesIn(inQuarter, p)) continue;
    const height = dot(p, arch.frame.z);
    top = Math.max(top, height);
    points.set(p, 3 * count);
    heights[count++] = height;
  }
  const tip = count === 0 ? null : meanAbove({ points, heights: heights.subarray(0, count) }, top - TIP_MM);
  letGo(points, heights);
  return tip;
}

/** Where two half-spaces meet: points farther along both directions than the middle. */
interface Quarter {
  readonly middle: Vec3;
  readonly directions: readonly [Vec3, Vec3];
}

function liesIn({ middle, directions: [a, b] }: Quarter, p: Vec3): boolean {
  return dot(p, a) > dot(middle, a) && dot(p, b) > dot(middle, b);
}

/** The mesial side of a crown's middle, on its cheek side. */
function mesiobuccal(
  tooth: ToothNumber,
  centre: Vec3,
  { m, b }: CrownAxes,
  { frame, jaw, curve }: LabelledArch,
): Quarter {
  const buccal = contactFrame(frame, jaw, archTangentAt(curve, centre)).b;
  const cheek = dot(b, buccal) < 0 ? scale(b, -1) : b;
  const mesial = RIGHT_QUADRANTS.includes(quadrantOf(tooth)) ? m : scale(m, -1);
  return { middle: centre, directions: [mesial, cheek] };
}
