import type { SurfaceGraph } from '../geometry/graph-surface.ts';
import { dot } from '../geometry/vec3.ts';
import { type ArchTrack, outwards, TRACK_STEP_MM } from './arch-track.ts';
import { type CrownRelief, heightAt, prominenceAt, RELIEF_CELL_MM } from './crown-relief.ts';

/** What stands along the row of crowns, per point of its track. */
export interface RowProfile {
  /** Cross-section of the crowns' upper part, mm^2. */
  readonly sectionMm2: Float64Array;
  /** 0 to 1: whether a crown stands here at all. */
  readonly presence: Float64Array;
  /** 0 to 1: how clearly an embrasure crosses the row here, or the row ends. */
  readonly embrasure: Float64Array;
}

/** Half the width of the strip that is looked at, mm. */
const STRIP_MM = 6;
/** The upper part of the crowns: down to this far below the top of the row, mm. Embrasures cut it deeply. */
const UPPER_PART_MM = 3.5;
/** The top of the row at a place is that of its neighbourhood, mm. */
const TOP_REACH_MM = 5;
/** Between these heights above the floor the presence of a crown rises from 0 to 1, mm. */
const ABSENT_MM = 0.5;
const PRESENT_MM = 2.5;
/** An embrasure is a dip between two crowns no farther apart than this, mm. */
const DIP_REACH_MM = 4.5;
/** A dip to this share below the lower of its two sides is a clear embrasure. */
const CLEAR_DIP = 0.5;
const SMOOTHING_MM = 0.45;
/** Folds that count: concave by this much, 1/mm, at most this far below the top of the row, mm, and along the strip. */
const LEAST_CONCAVITY = 0.25;
const MOST_CONCAVITY = 1.5;
const FOLD_DEPTH_MM = 7;
const ACROSS_SHARE = 0.75;
/** Length of folds on either side of the row that makes a clear embrasure, mm per mm of track times concavity. */
const CLEAR_FOLD = 1.6;
const FOLD_SMOOTHING_MM = 0.6;
/** Share of the folds beside the dip of the section in what is called an embrasure. */
const FOLD_SHARE = 0.5;
/** Cells of the look-up from places to the track, mm; the nearest point is then found exactly. */
const LOOKUP_CELL_MM = 1;

/**
 * Measures the relief across every point of the track, and the folds of the surface that cross it.
 *
 * @param graph - the surface with the curvature across its arcs
 */
export function profileRow(relief: CrownRelief, track: ArchTrack, graph: SurfaceGraph): RowProfile {
  const n = track.count;
  const highest = new Float64Array(n).fill(Number.NEGATIVE_INFINITY);
  const presence = new Float64Array(n);
  forStrip(track, (i, x, y) => {
    const out = prominenceAt(relief, x, y);
    presence[i] = Math.max(presence[i]!, Math.min(1, (out - ABSENT_MM) / (PRESENT_MM - ABSENT_MM)));
    const z = heightAt(relief, x, y);
    if (out > ABSENT_MM && z !== null && z > highest[i]!) highest[i] = z;
  });
  const top = topOfRow(highest);
  const section = new Float64Array(n);
  forStrip(track, (i, x, y) => {
    const z = heightAt(relief, x, y);
    if (z === null) return;
    const above = Math.min(prominenceAt(relief, x, y), z - top[i]! + UPPER_PART_MM);
    if (above > 0) section[i] = section[i]! + above * TRACK_STEP_MM;
  });
  const smooth = smoothed(section, SMOOTHING_MM);
  const dip = dips(smooth);
  const fold = folds(relief, track, graph, top);
  const embrasure = dip.map((value, i) => {
    const both = (1 - FOLD_SHARE) * value + FOLD_SHARE * fold[i]!;
    return Math.max(both, 1 - presence[i]!);
  });
  return { sectionMm2: smooth, presence, embrasure };
}

function forStrip(track: ArchTrack, visit: (i: number, x: number, y: number) => void): void {
  for (let i = 0; i < track.count; i++) {
    const [ox, oy] = outwards(track, i);
    for (let t = -STRIP_MM; t <= STRIP_MM; t += TRACK_STEP_MM) {
      visit(i, track.points[2 * i]! + t * ox, track.points[2 * i + 1]! + t * oy);
    }
  }
}

/** Height of the crowns' tops along the row, mm: what stands highest near each place. */
function topOfRow(highest: Float64Array): Float64Array {
  const reach = Math.round(TOP_REACH_MM / TRACK_STEP_MM);
  const near = highest.map((value, i) => {
    let most = value;
    for (let k = -reach; k <= reach; k++) most = Math.max(most, highest[i + k] ?? Number.NEGATIVE_INFINITY);
    return most;
  });
  return near.map((value) => (Number.isFinite(value) ? value : 0));
}

/** Relative depth of the dip at every place below the lower of the highest places on both sides, in clear dips. */
function dips(values: Float64Array): Float64Array {
  const reach = Math.round(DIP_REACH_MM / TRACK_STEP_MM);
  return values.map((value, i) => {
    let before = value;
    let after = value;
    for (let k = 1; k <= reach; k++) {
      before = Math.max(before, values[i - k] ?? 0);
      after = Math.max(after, values[i + k] ?? 0);
    }
    const side = Math.min(before, after);
    return side > 0 ? Math.min(1, (side - value) / (CLEAR_DIP * side)) : 0;
  });
}

/** How much fold crosses the row at every place, on its weaker side: a groove of a crown marks one side only. */
function folds(relief: CrownRelief, track: ArchTrack, graph: SurfaceGraph, top: Float64Array): Float64Array {
  const { frame } = relief;
  const outer = new Float64Array(track.count);
  const inner = new Float64Array(track.count);
  const near = nearTrack(relief, track);
  const [x0, y0, z0] = [dot(frame.x, frame.origin), dot(frame.y, frame.origin), dot(frame.z, frame.origin)];
  const { centroid } = graph;
  for (let i = 0; i < graph.nodeCount; i++) {
    for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
      const j = graph.target[arc]!;
      const concavity = -graph.curvature[arc]!;
      if (j < i || concavity < LEAST_CONCAVITY) continue;
      const px = (centroid[3 * i]! + centroid[3 * j]!) / 2;
      const py = (centroid[3 * i + 1]! + centroid[3 * j + 1]!) / 2;
      const pz = (centroid[3 * i + 2]! + centroid[3 * j + 2]!) / 2;
      const x = dot(frame.x, [px, py, pz]) - x0;
      const y = dot(frame.y, [px, py, pz]) - y0;
      const k = near(x, y);
      if (k < 0) continue;
      const depth = top[k]! - (dot(frame.z, [px, py, pz]) - z0);
      if (depth > FOLD_DEPTH_MM) continue;
      const [ox, oy] = outwards(track, k);
      const dx = centroid[3 * j]! - centroid[3 * i]!;
      const dy = centroid[3 * j + 1]! - centroid[3 * i + 1]!;
      const dz = centroid[3 * j + 2]! - centroid[3 * i + 2]!;
      const u = dot(frame.x, [dx, dy, dz]);
      const v = dot(frame.y, [dx, dy, dz]);
      const along = Math.abs(u * oy - v * ox) / Math.hypot(dx, dy, dz);
      if (!(along > ACROSS_SHARE)) continue;
      const weight = graph.lengthMm[arc]! * Math.min(MOST_CONCAVITY, concavity);
      const across = (x - track.points[2 * k]!) * ox + (y - track.points[2 * k + 1]!) * oy;
      const side = across > 0 ? outer : inner;
      side[k] = side[k]! + weight / TRACK_STEP_MM;
    }
  }
  const a = smoothed(outer, FOLD_SMOOTHING_MM);
  const b = smoothed(inner, FOLD_SMOOTHING_MM);
  return a.map((value, i) => Math.min(1, Math.min(value, b[i]!) / CLEAR_FOLD));
}

/** Looks up the point of the track that a place within the strip is nearest to; -1 beyond the strip. */
function nearTrack(relief: CrownRelief, track: ArchTrack): (x: number, y: number) => number {
  const cell = LOOKUP_CELL_MM;
  const { x0, y0 } = relief;
  const columns = Math.ceil((relief.columns * RELIEF_CELL_MM) / cell) + 1;
  const rows = Math.ceil((relief.rows * RELIEF_CELL_MM) / cell) + 1;
  const nearest = new Int32Array(columns * rows).fill(-1);
  const least = new Float64Array(columns * rows).fill(STRIP_MM ** 2);
  const reach = Math.ceil(STRIP_MM / cell);
  for (let i = 0; i < track.count; i++) {
    const x = track.points[2 * i]!;
    const y = track.points[2 * i + 1]!;
    const c = Math.round((x - x0) / cell);
    const r = Math.round((y - y0) / cell);
    for (let row = Math.max(0, r - reach); row <= Math.min(rows - 1, r + reach); row++) {
      for (let column = Math.max(0, c - reach); column <= Math.min(columns - 1, c + reach); column++) {
        const d = (x0 + column * cell - x) ** 2 + (y0 + row * cell - y) ** 2;
        const at = row * columns + column;
        if (d >= least[at]!) continue;
        least[at] = d;
        nearest[at] = i;
      }
    }
  }
  return (x, y) => {
    const column = Math.round((x - x0) / cell);
    const row = Math.round((y - y0) / cell);
    if (column < 0 || row < 0 || column >= columns || row >= rows) return -1;
    let k = nearest[row * columns + column]!;
    if (k < 0) return -1;
    const away = (i: number) => (track.points[2 * i]! - x) ** 2 + (track.points[2 * i + 1]! - y) ** 2;
    while (k > 0 && away(k - 1) < away(k)) k--;
    while (k < track.count - 1 && away(k + 1) < away(k)) k++;
    return k;
  };
}

function smoothed(values: Float64Array, spreadMm: number): Float64Array {
  const radius = Math.ceil((3 * spreadMm) / TRACK_STEP_MM);
  return values.map((_, i) => {
    let sum = 0;
    let weight = 0;
    for (let k = -radius; k <= radius; k++) {
      const value = values[i + k];
      if (value === undefined) continue;
      const near = Math.exp((-0.5 * (k * TRACK_STEP_MM) ** 2) / spreadMm ** 2);
      sum += near * value;
      weight += near;
    }
    return sum / weight;
  });
}
