import type { Vec3 } from '../geometry/types.ts';
import { addScaled, dot, length, normalize } from '../geometry/vec3.ts';
import type { PlacedTooth } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import type { CrownFrame } from './types.ts';

/** Share of a region's extent that is left out at either end, so that a stray tongue does not shift its middle. */
const TRIM = 0.03;
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

/** Net direction of all tooth surface; the given one when the teeth have none. */
export function toothAxis(base: TeethBase, labels: Uint8Array, fallback: Vec3): Vec3 {
  let [x, y, z] = [0, 0, 0];
  for (let i = 0; i < labels.length; i++) {
    if (labels[i] === 0) continue;
    x += base.nodeAreaVector[3 * i]!;
    y += base.nodeAreaVector[3 * i + 1]!;
    z += base.nodeAreaVector[3 * i + 2]!;
  }
  const sum: Vec3 = [x, y, z];
  return length(sum) > 0 && dot(sum, fallback) > 0 ? normalize(sum) : fallback;
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
  const nodes: number[][] = frames.map(() => []);
  for (let i = 0; i < labels.length; i++) {
    const label = labels[i]!;
    if (label > 0) nodes[label - 1]!.push(i);
  }
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
  base: TeethBase,
  nodes: readonly number[],
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
