import { TRACK_STEP_MM } from './arch-track.ts';
import { archOrder, digitOf, toothSortIndex } from './notation.ts';
import type { RowProfile } from './row-profile.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Jaw, ToothNumber } from './types.ts';

/** A clicked tooth on the track. */
export interface TrackClick {
  readonly tooth: ToothNumber;
  /** Point of the track. */
  readonly at: number;
}

/** One crown of the row, between two places of the track. */
export interface RowPart {
  readonly tooth: ToothNumber;
  readonly from: number;
  readonly to: number;
}

export interface RowSplit {
  /** Crowns in arch order. */
  readonly parts: readonly RowPart[];
  /** How badly the split fits; comparable between splits of one row. */
  readonly cost: number;
  /** Size of the teeth against the textbook. */
  readonly size: number;
}

/** Sizes of a mouth's teeth that are tried, against the textbook, and how far they usually are from it. */
const SIZES = [0.85, 0.89, 0.93, 0.97, 1.01, 1.05, 1.09, 1.13];
const SIZE_SPREAD = 0.07;
/** Spread of a single tooth's width around what its mouth's size lets expect, as a share. */
const WIDTH_SPREAD = 0.11;
/** Widths beyond these shares of the expected are not tried. */
const NARROWEST = 0.6;
const WIDEST = 1.45;
/** What a clear embrasure at one side of a crown is worth. */
const EMBRASURE_WORTH = 2;
/** Spread of clicks around the middle of their crowns, as a share of its width; a click must lie inside. */
const CLICK_SPREAD = 0.16;
const CLICK_INSIDE = 0.48;
/** Cost per mm where a crown should stand and none does, and where one stands that no tooth explains. */
const LACK_PER_MM = 0.9;
const UNEXPLAINED_PER_MM = 0.7;
/** Cost per mm of what stands in the place of a missing tooth. */
const OCCUPIED_PER_MM = 0.6;
/** The space of a missing tooth may be this many times its width. */
const WIDEST_SPACE = 1.3;
/** Third molars are less common than second ones and hard to tell from the ridge behind them. */
const THIRD_MOLAR_COST = 7.5;

/**
 * Divides the row of crowns among the teeth of the jaw: widths near the textbook's, borders at embrasures, every
 * click inside its tooth, crowns where something stands. A dynamic programme over the borders (Bellman 1957) for
 * each size of teeth.
 *
 * @param missing - teeth that are absent: their place may be a space of any width or none
 * @returns null when no division holds every click
 */
export function splitRow(
  profile: RowProfile,
  clicks: readonly TrackClick[],
  jaw: Jaw,
  missing: readonly ToothNumber[],
  sizes: readonly number[] = SIZES,
): RowSplit | null {
  let best: RowSplit | null = null;
  for (const size of sizes) {
    const split = splitAtSize(profile, clicks, jaw, missing, size);
    if (split && (!best || split.cost < best.cost)) best = split;
  }
  return best;
}

function splitAtSize(
  profile: RowProfile,
  clicks: readonly TrackClick[],
  jaw: Jaw,
  missing: readonly ToothNumber[],
  size: number,
): RowSplit | null {
  const n = profile.presence.length;
  const stood = runningSum(profile.presence);
  const order = archOrder(jaw);
  const firstClicked = Math.min(...clicks.map((click) => toothSortIndex(click.tooth)));
  const lastClicked = Math.max(...clicks.map((click) => toothSortIndex(click.tooth)));
  // cost[b] of the teeth so far when the last of them ends at b; from[tooth][b] where it began, -1 = the row starts with it.
  let cost = new Float64Array(n).fill(Number.POSITIVE_INFINITY);
  const began: Int32Array[] = [];
  const started: Uint8Array[] = [];
  let end: { readonly cost: number; readonly index: number; readonly at: number } | null = null;
  order.forEach((tooth, index) => {
    const next = new Float64Array(n).fill(Number.POSITIVE_INFINITY);
    const from = new Int32Array(n).fill(-1);
    const start = new Uint8Array(n);
    const mayStart = index <= firstClicked;
    const absent = missing.includes(tooth);
    const click = clicks.find((one) => one.tooth === tooth);
    const width = (size * textbookSize(tooth).mesiodistalMm) / TRACK_STEP_MM;
    const least = absent ? 0 : Math.ceil(NARROWEST * width);
    const most = Math.floor((absent ? WIDEST_SPACE : WIDEST) * width);
    const extra = !absent && !click && digitOf(tooth) === 8 ? THIRD_MOLAR_COST : 0;
    for (let a = 0; a < n; a++) {
      const unexplained = UNEXPLAINED_PER_MM * TRACK_STEP_MM * stood[a]!;
      const startsHere = mayStart && !absent && unexplained < cost[a]!;
      const base = startsHere ? unexplained : cost[a]!;
      if (base === Number.POSITIVE_INFINITY) continue;
      for (let b = a + least; b <= a + most && b < n; b++) {
        const inside = stood[b]! - stood[a]!;
        let value = base + extra;
        if (absent) value += OCCUPIED_PER_MM * TRACK_STEP_MM * inside;
        else {
          const deviation = ((b - a) / width - 1) / WIDTH_SPREAD;
          value += deviation ** 2 / 2 + LACK_PER_MM * TRACK_STEP_MM * (b - a - inside);
          value -= (EMBRASURE_WORTH / 2) * (profile.embrasure[a]! + profile.embrasure[b]!);
          if (click) {
            const off = ((a + b) / 2 - click.at) / (b - a);
            if (Math.abs(off) > CLICK_INSIDE) continue;
            value += (off / CLICK_SPREAD) ** 2 / 2;
          }
        }
        if (value >= next[b]!) continue;
        next[b] = value;
        from[b] = a;
        start[b] = startsHere ? 1 : 0;
      }
    }
    began.push(from);
    started.push(start);
    cost = next;
    if (index < lastClicked || absent) return;
    for (let b = 0; b < n; b++) {
      const left = cost[b]! + UNEXPLAINED_PER_MM * TRACK_STEP_MM * (stood[n]! - stood[b]!);
      if (left < (end?.cost ?? Number.POSITIVE_INFINITY)) end = { cost: left, index, at: b };
    }
  });
  const found = end as { readonly cost: number; readonly index: number; readonly at: number } | null;
  if (found === null) return null;
  const parts: RowPart[] = [];
  let at = found.at;
  for (let index = found.index; index >= 0; index--) {
    const tooth = order[index]!;
    const from = began[index]![at]!;
    if (!missing.includes(tooth)) parts.unshift({ tooth, from, to: at });
    if (started[index]![at] === 1) break;
    at = from;
  }
  return { parts, cost: found.cost + ((size - 1) / SIZE_SPREAD) ** 2 / 2, size };
}

/** sum[k] of the first k values. */
function runningSum(values: Float64Array): Float64Array {
  const sum = new Float64Array(values.length + 1);
  for (let k = 0; k < values.length; k++) sum[k + 1] = sum[k]! + values[k]!;
  return sum;
}
