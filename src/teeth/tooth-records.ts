import { faceAdjacency } from '../geometry/adjacency.ts';
import { IndexList } from '../geometry/index-list.ts';
import { length3 } from '../geometry/length3.ts';
import { select } from '../geometry/median.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { add, dot, scale, vertexAt } from '../geometry/vec3.ts';
import { archTangentAt, fitArchCurve } from './arch-curve.ts';
import { crownOutlines } from './crown-outlines.ts';
import { archOrder } from './notation.ts';
import type { ClickSet, OcclusalFrame, Segmentation, ToothNumber, ToothRecord } from './types.ts';

/** Extents leave out this share of a crown's vertices at either end: single stray vertices do not count. */
const EXTENT_TRIM = 0.002;
/** A common border of fewer edges is a stray touch, not a contact. */
const LEAST_BORDER_EDGES = 8;
/** Crown height is read on the cheek side, within this share of the width around the crown's middle. */
const MIDDLE_SHARE = 0.3;

/** What the labels say about one tooth before anything is measured. */
interface Crown {
  area: number;
  readonly moment: [number, number, number];
  readonly vertices: IndexList;
  /** Edges of its borders (3 x triangle + side): neighbour label (0 = gum) to edges. */
  readonly borders: Map<number, IndexList>;
}

/**
 * Measures the labelled crowns, in arch order: area-weighted centre; mesiodistal width between the contact planes
 * (across the arch at the middle of a common border, at the outermost wall where there is none); buccolingual
 * extent; height from the gum's edge in the middle of the cheek side to the crown's top. Directions are those of the
 * arch at the tooth, so a turned tooth is measured as it stands. A value is null where the labels do not show it. The
 * outline from above is for drawing.
 */
export function measureTeeth(
  scan: TriangleMesh,
  segmentation: Segmentation,
  clicks: ClickSet,
): ToothRecord[] {
  const { labels, frame } = segmentation;
  const crowns = collectCrowns(scan, labels);
  const order = archOrder(clicks.jaw);
  const present = order.filter((tooth) => crowns.has(tooth));
  const centres = present.map((tooth) => {
    const crown = crowns.get(tooth)!;
    return scale(crown.moment, 1 / crown.area);
  });
  if (present.length === 0) return [];
  const curve = fitArchCurve(frame, centres);
  const places = new Map(present.map((tooth, k) => [tooth, centres[k]!]));
  const outlines = crownOutlines(scan, labels, frame, places);
  return present.map((tooth, k) => {
    const crown = crowns.get(tooth)!;
    const centre = centres[k]!;
    const m = archTangentAt(curve, centre);
    const b = outward(frame, m);
    const along = extentOf(scan, crown, m);
    const across = extentOf(scan, crown, b);
    const on = contactPlane(scan, crown, present[k + 1], m) ?? along.high;
    const back = contactPlane(scan, crown, present[k - 1], m) ?? along.low;
    const outlineMm = outlines.get(tooth);
    return {
      tooth,
      centre,
      mesiodistalMm: on > back ? on - back : null,
      buccolingualMm: across.high > across.low ? across.high - across.low : null,
      crownHeightMm: crownHeight(scan, crown, frame.z, { m, b, along, across }),
      areaMm2: crown.area,
      fixed: clicks.fixed.includes(tooth),
      ...(outlineMm === undefined ? {} : { outlineMm }),
    };
  });
}

function collectCrowns(scan: TriangleMesh, labels: Uint8Array): Map<ToothNumber, Crown> {
  const { positions, triangles } = scan;
  const adjacency = faceAdjacency(triangles, positions.length / 3);
  const crowns = new Map<ToothNumber, Crown>();
  const vertexOf = new Uint8Array(positions.length / 3);
  let crown: Crown | undefined;
  let tooth = 0;
  for (let f = 0; f < labels.length; f++) {
    const label = labels[f]!;
    if (label === 0) continue;
    if (label !== tooth || crown === undefined) {
      crown = crowns.get(label) ?? newCrown();
      tooth = label;
      crowns.set(label, crown);
    }
    addTriangle(crown, positions, triangles, f);
    for (let k = 0; k < 3; k++) {
      const v = triangles[3 * f + k]!;
      if (vertexOf[v] !== label) {
        vertexOf[v] = label;
        crown.vertices.push(v);
      }
      const g = adjacency[3 * f + k]!;
      const there = g < 0 ? label : labels[g]!;
      if (there === label) continue;
      let border = crown.borders.get(there);
      if (!border) {
        border = new IndexList();
        crown.borders.set(there, border);
      }
      border.push(3 * f + k);
    }
  }
  return crowns;
}

function newCrown(): Crown {
  return { area: 0, moment: [0, 0, 0], vertices: new IndexList(), borders: new Map() };
}

/** Middle of an edge (3 x triangle + side). */
function middleOf({ positions, triangles }: TriangleMesh, edge: number): Vec3 {
  const next = edge % 3 === 2 ? edge - 2 : edge + 1;
  return scale(add(vertexAt(positions, triangles[edge]!), vertexAt(positions, triangles[next]!)), 0.5);
}

/** Adds a triangle's area and its area-weighted middle. */
function addTriangle(
  crown: { area: number; readonly moment: [number, number, number] },
  positions: ArrayLike<number>,
  triangles: Uint32Array,
  t: number,
): void {
  const [a, b, c] = [3 * triangles[3 * t]!, 3 * triangles[3 * t + 1]!, 3 * triangles[3 * t + 2]!];
  const ux = positions[b]! - positions[a]!;
  const uy = positions[b + 1]! - positions[a + 1]!;
  const uz = positions[b + 2]! - positions[a + 2]!;
  const vx = positions[c]! - positions[a]!;
  const vy = positions[c + 1]! - positions[a + 1]!;
  const vz = positions[c + 2]! - positions[a + 2]!;
  const area = 0.5 * length3(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
  crown.area += area;
  for (let k = 0; k < 3; k++) {
    crown.moment[k]! += (area / 3) * (positions[a + k]! + positions[b + k]! + positions[c + k]!);
  }
}

/** Towards the cheek or lip: the tangent (right to left) turned to the front side of the arch. */
function outward(frame: OcclusalFrame, tangent: Vec3): Vec3 {
  return add(scale(frame.x, -dot(tangent, frame.y)), scale(frame.y, dot(tangent, frame.x)));
}

interface Extent {
  readonly low: number;
  readonly high: number;
}

function extentOf(scan: TriangleMesh, crown: Crown, d: Vec3): Extent {
  const { positions } = scan;
  const values = new Float64Array(crown.vertices.length);
  for (let i = 0; i < values.length; i++) {
    const v = crown.vertices.values[i]!;
    values[i] = d[0] * positions[3 * v]! + d[1] * positions[3 * v + 1]! + d[2] * positions[3 * v + 2]!;
  }
  const skip = Math.floor(EXTENT_TRIM * values.length);
  return { low: select(values, skip), high: select(values, values.length - 1 - skip) };
}

/** Where the plane across the arch lies that parts a tooth from its neighbour: middle of their common border. */
function contactPlane(
  scan: TriangleMesh,
  crown: Crown,
  neighbour: ToothNumber | undefined,
  m: Vec3,
): number | null {
  const border = neighbour === undefined ? undefined : crown.borders.get(neighbour);
  if (!border || border.length < LEAST_BORDER_EDGES) return null;
  const values = new Float64Array(border.length);
  for (let i = 0; i < values.length; i++) values[i] = dot(middleOf(scan, border.values[i]!), m);
  values.sort();
  return values[values.length >> 1]!;
}

function crownHeight(
  scan: TriangleMesh,
  crown: Crown,
  z: Vec3,
  sides: { readonly m: Vec3; readonly b: Vec3; readonly along: Extent; readonly across: Extent },
): number | null {
  const { m, b, along, across } = sides;
  const middle = (along.low + along.high) / 2;
  const reach = MIDDLE_SHARE * (along.high - along.low);
  const cheek = (across.low + across.high) / 2;
  let lowest = Number.POSITIVE_INFINITY;
  const gum = crown.borders.get(0);
  for (let i = 0; i < (gum?.length ?? 0); i++) {
    const point = middleOf(scan, gum!.values[i]!);
    if (dot(point, b) <= cheek || Math.abs(dot(point, m) - middle) >= reach) continue;
    lowest = Math.min(lowest, dot(point, z));
  }
  if (lowest === Number.POSITIVE_INFINITY) return null;
  return extentOf(scan, crown, z).high - lowest;
}
