import { median } from '../geometry/median.ts';
import type { Vec3 } from '../geometry/types.ts';
import {
  add,
  addScaled,
  cross,
  dot,
  length,
  normalize,
  perpendicularTo,
  scale,
  sub,
} from '../geometry/vec3.ts';
import { expectedHeightMm } from './crown-frames.ts';
import { leastAligned, type PlacedTooth } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import type { CrownFrame } from './types.ts';

/** Share of a region's extent that is left out at either end, so that a stray tongue does not shift its middle. */
const TRIM = 0.03;
/** Spread across over spread along (variances) from which a row counts as an arch; a whole arch has 0.3 to 0.6. */
const ROUND_ROW = 0.25;
const MOST_SHIFT_ALONG = 0.3;
const MOST_SHIFT_ACROSS = 0.5;
const MOST_RISE_MM = 5;
const BELOW_TOP_MM = 0.5;
/** A region narrower than this share of the expected crown is a part of it only. */
const WHOLE_SHARE = 0.65;
/** Steps in which a region's extent is read. */
const BINS = 256;
/** Fewer nodes than this say nothing about a crown's middle. */
const LEAST_NODES = 8;
/** A region reaches this share of the expected height in an average mouth; limits of what is believed. */
const HEIGHT_AT_MARGIN = 0.9;
const HEIGHT_RANGE = [0.7, 1.2] as const;
const HEIGHT_LEAST_TEETH = 4;

/**
 * Occlusal axis by a first labelling: the net direction of all tooth surface. A crown's own net direction leans to its
 * longer side; round an arch that cancels, along a straight row it adds up. So a turn about the row counts the less the
 * straighter the row is.
 *
 * @param first - the axis that the clicks and the surface around them gave; also the answer when the teeth have none
 * @param teeth - where the teeth stand
 */
export function toothAxis(
  base: Pick<TeethBase, 'nodeAreaVector'>,
  labels: Uint8Array,
  first: Vec3,
  teeth: readonly PlacedTooth[],
): Vec3 {
  const net = netDirection(base, labels);
  if (!net || dot(net, first) <= 0) return first;
  const row = rowSpread(teeth, first);
  if (!row) return normalize(add(first, net));
  // Tangent-plane coordinates of the turn: exact enough for the small turns that are left to be made.
  const turn = scale(sub(net, scale(first, dot(net, first))), 1 / dot(net, first));
  const across = cross(first, row.along);
  const trust = Math.min(1, row.roundness / ROUND_ROW);
  const along = scale(row.along, dot(turn, row.along));
  return normalize(add(add(first, along), scale(across, trust * dot(turn, across))));
}

/** Main direction of the row in the occlusal plane, and its spread across that direction against the spread along. */
function rowSpread(teeth: readonly PlacedTooth[], z: Vec3): { along: Vec3; roundness: number } | null {
  const e1 = normalize(perpendicularTo(leastAligned(z), z));
  const e2 = cross(z, e1);
  let [mx, my] = [0, 0];
  for (const { point } of teeth) {
    mx += dot(point, e1) / teeth.length;
    my += dot(point, e2) / teeth.length;
  }
  let [xx, xy, yy] = [0, 0, 0];
  for (const { point } of teeth) {
    const [x, y] = [dot(point, e1) - mx, dot(point, e2) - my];
    xx += x * x;
    xy += x * y;
    yy += y * y;
  }
  const middle = (xx + yy) / 2;
  const reach = Math.hypot((xx - yy) / 2, xy);
  if (middle + reach === 0) return null;
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  return {
    along: add(scale(e1, Math.cos(angle)), scale(e2, Math.sin(angle))),
    roundness: (middle - reach) / (middle + reach),
  };
}

/** Unit sum of the area vectors of all tooth surface; null when it has no direction. */
function netDirection(base: Pick<TeethBase, 'nodeAreaVector'>, labels: Uint8Array): Vec3 | null {
  let [x, y, z] = [0, 0, 0];
  for (let i = 0; i < labels.length; i++) {
    if (labels[i] === 0) continue;
    x += base.nodeAreaVector[3 * i]!;
    y += base.nodeAreaVector[3 * i + 1]!;
    z += base.nodeAreaVector[3 * i + 2]!;
  }
  const sum: Vec3 = [x, y, z];
  return length(sum) > 0 ? normalize(sum) : null;
}

/**
 * How much of the crowns stands out of the gum in this mouth against the average one: the median over the teeth of what a
 * first labelling found, as one gum line runs along the whole arch; 1 when fewer than four teeth say so.
 */
export function visibleHeightScale(
  base: Pick<TeethBase, 'graph'>,
  labels: Uint8Array,
  frames: readonly (CrownFrame | null)[],
): number {
  const nodes = nodesOfTeeth(labels, frames.length);
  const ratios = frames.flatMap((frame, t) => {
    const own = nodes[t]!;
    if (!frame || own.length < LEAST_NODES) return [];
    const { low, high } = middleRange(base, own, frame.z, frame.origin);
    return (high - BELOW_TOP_MM - low) / expectedHeightMm(frame.tooth);
  });
  if (ratios.length < HEIGHT_LEAST_TEETH) return 1;
  const found = median(Float32Array.from(ratios)) / HEIGHT_AT_MARGIN;
  return Math.max(HEIGHT_RANGE[0], Math.min(HEIGHT_RANGE[1], found));
}

/** Width of each crown's region along the arch, its outermost 3 % on either side left out, mm; null for hardly any. */
export function regionWidths(
  base: Pick<TeethBase, 'graph'>,
  labels: Uint8Array,
  frames: readonly CrownFrame[],
): (number | null)[] {
  const nodes = nodesOfTeeth(labels, frames.length);
  return frames.map(({ m, origin }, t) => {
    if (nodes[t]!.length < LEAST_NODES) return null;
    const { low, high } = middleRange(base, nodes[t]!, m, origin);
    return high - low;
  });
}

/** Nodes of each tooth, in rising order. */
function nodesOfTeeth(labels: Uint8Array, teeth: number): Int32Array[] {
  const count = new Int32Array(teeth + 1);
  for (let i = 0; i < labels.length; i++) count[labels[i]!]! += 1;
  const nodes = Array.from({ length: teeth }, (_, t) => new Int32Array(count[t + 1]!));
  count.fill(0);
  for (let i = 0; i < labels.length; i++) {
    const label = labels[i]!;
    if (label > 0) nodes[label - 1]![count[label]!++] = i;
  }
  return nodes;
}

/**
 * Where each crown's frame belongs by a first labelling: at the middle of its region along and across the arch, just
 * below its top. Shifts are limited, as the region may be wrong.
 *
 * @param clicks - first clicks, in the order of `frames`; shifts are counted from them
 */
export function reframedPlaces(
  base: TeethBase,
  labels: Uint8Array,
  frames: readonly CrownFrame[],
  clicks: readonly PlacedTooth[],
): PlacedTooth[] {
  const nodes = nodesOfTeeth(labels, frames.length);
  return frames.map((frame, t) => {
    const click = clicks[t]!;
    const own = nodes[t]!;
    if (own.length < LEAST_NODES) return click;
    const along = middleRange(base, own, frame.m, click.point);
    const across = middleRange(base, own, frame.b, click.point);
    const up = middleRange(base, own, frame.z, click.point);
    const width = frame.limitBackMm + frame.limitOnMm;
    const depth = 2 * frame.halfBuccolingualMm;
    const rise = Math.max(0, Math.min(MOST_RISE_MM, up.high - BELOW_TOP_MM));
    let point = addScaled(click.point, frame.m, clamp(middleOf(along, width), MOST_SHIFT_ALONG * width));
    point = addScaled(point, frame.b, clamp(middleOf(across, depth), MOST_SHIFT_ACROSS * depth));
    return { tooth: click.tooth, point: addScaled(point, frame.z, rise) };
  });
}

/**
 * Middle of the crown from the extent of its region. A region much narrower than the crown is a part of it, split off
 * at a fissure: one of its ends is then the crown's end, the one that leaves the crown's middle nearer to the click.
 */
function middleOf(region: { readonly low: number; readonly high: number }, expected: number): number {
  if (region.high - region.low >= WHOLE_SHARE * expected) return (region.low + region.high) / 2;
  const fromLow = region.low + expected / 2;
  const fromHigh = region.high - expected / 2;
  return Math.abs(fromLow) < Math.abs(fromHigh) ? fromLow : fromHigh;
}

function clamp(value: number, most: number): number {
  return Math.max(-most, Math.min(most, value));
}

/** Trimmed extent of nodes along a direction from a place, by area, from a histogram. */
function middleRange(
  base: Pick<TeethBase, 'graph'>,
  nodes: Int32Array,
  d: Vec3,
  from: Vec3,
): { low: number; high: number } {
  const { centroid, area } = base.graph;
  const c = dot(d, from);
  const values = new Float64Array(nodes.length);
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < nodes.length; k++) {
    const i = nodes[k]!;
    const value = d[0] * centroid[3 * i]! + d[1] * centroid[3 * i + 1]! + d[2] * centroid[3 * i + 2]! - c;
    values[k] = value;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  const width = (most - least) / BINS;
  if (!(width > 0)) return { low: least, high: most };
  const bins = new Float64Array(BINS);
  let total = 0;
  for (let k = 0; k < nodes.length; k++) {
    const bin = Math.min(BINS - 1, Math.floor((values[k]! - least) / width));
    const a = area[nodes[k]!]!;
    bins[bin] = bins[bin]! + a;
    total += a;
  }
  const quantile = (share: number): number => {
    let sum = 0;
    for (let bin = 0; bin < BINS; bin++) {
      const a = bins[bin]!;
      if (sum + a >= share * total) return least + width * (bin + (a > 0 ? (share * total - sum) / a : 0));
      sum += a;
    }
    return most;
  };
  return { low: quantile(TRIM), high: quantile(1 - TRIM) };
}
