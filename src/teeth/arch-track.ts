import type { Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import { type CrownRelief, prominenceAt } from './crown-relief.ts';
import { archOrder, digitOf, toothSortIndex } from './notation.ts';
import type { PlacedTooth } from './occlusal-frame.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Jaw, ToothNumber } from './types.ts';

/** A line along the row of crowns, seen from above, patient's right to left. */
export interface ArchTrack {
  /** (n x 2) x to the patient's left, y to the front, mm; evenly {@link TRACK_STEP_MM} apart. */
  readonly points: Float64Array;
  readonly count: number;
}

export const TRACK_STEP_MM = 0.25;

/** The arch as a placed beta curve (Braun et al. 1998, see `templatePlace`) with the teeth strung along it. */
interface ArchModel {
  /** Place of the front of the arch, mm. */
  readonly x: number;
  readonly y: number;
  /** Turn of the arch in the plane, rad. */
  readonly turn: number;
  readonly widthMm: number;
  readonly depthMm: number;
  /** Size of this mouth's teeth against the textbook. */
  readonly size: number;
}

/** Usual arches (widths and depths of the beta curve at the second molars, from the same paper's range). */
const USUAL = { upper: { widthMm: 60, depthMm: 45 }, lower: { widthMm: 54, depthMm: 41 } } as const;
const WIDTH_SPREAD_MM = 8;
const DEPTH_SPREAD_MM = 7;
const SIZE_SPREAD = 0.08;
/** A click may lie this far from its tooth of the model, mm. */
const CLICK_SPREAD_MM = 2;
/** A crown counts fully where it stands this far out, mm. */
const FULL_PROMINENCE_MM = 4;
/** Weight of a whole row on crowns against the other terms. */
const ROW_WEIGHT = 40;
const START_SHARES = [0.85, 1, 1.15];
const START_TURNS = [-0.25, 0, 0.25];
const START_SIZES = [0.95, 1.05];
const STARTS_KEPT = 4;
const SEARCH_ROUNDS = 60;
const CURVE_PIECES = 160;
/** The track goes on this far beyond the second molars, mm: a third molar may stand there. */
const BEYOND_MM = 12;
/** The track is drawn to the middle of the crowns within this reach on either side, mm. */
const CENTRE_REACH_MM = [6, 5, 5];
const CENTRE_SPREAD_MM = 3.5;
/** What stands out less than this is gum, mm. */
const GUM_MM = 1;

/** Finds the row of crowns: the model that agrees best with clicks and relief, then drawn to the crowns' middle. */
export function trackArch(relief: CrownRelief, teeth: readonly PlacedTooth[], jaw: Jaw): ArchTrack {
  const clicks = teeth.map(({ tooth, point }) => ({ tooth, ...inPlane(relief, point) }));
  const model = fitModel(relief, clicks, jaw);
  let track = evenly(layOut(model, jaw));
  for (const reach of CENTRE_REACH_MM) track = evenly(drawToCrowns(relief, track, reach));
  return track;
}

/** Place of a point in the plane of the relief. */
export function inPlane(relief: CrownRelief, point: Vec3): { readonly x: number; readonly y: number } {
  const d = sub(point, relief.frame.origin);
  return { x: dot(d, relief.frame.x), y: dot(d, relief.frame.y) };
}

type FlatClick = { readonly tooth: ToothNumber; readonly x: number; readonly y: number };

function fitModel(relief: CrownRelief, clicks: readonly FlatClick[], jaw: Jaw): ArchModel {
  const usual = USUAL[jaw];
  const cost = (model: ArchModel): number => misfit(model, relief, clicks, jaw);
  const starts: { model: ArchModel; cost: number }[] = [];
  for (const w of START_SHARES) {
    for (const d of START_SHARES) {
      for (const size of START_SIZES) {
        for (const extra of START_TURNS) {
          const form = { widthMm: w * usual.widthMm, depthMm: d * usual.depthMm, size };
          const model = laidOnto(form, clicks, jaw, extra);
          starts.push({ model, cost: cost(model) });
        }
      }
    }
  }
  starts.sort((a, b) => a.cost - b.cost);
  const best = starts.slice(0, STARTS_KEPT).map((start) => descend(start.model, cost));
  return best.reduce((a, b) => (b.cost < a.cost ? b : a)).model;
}

/** The form turned and shifted so that its teeth lie best on their clicks, then turned about them by `extra`. */
function laidOnto(
  form: Pick<ArchModel, 'widthMm' | 'depthMm' | 'size'>,
  clicks: readonly FlatClick[],
  jaw: Jaw,
  extra: number,
): ArchModel {
  const bare: ArchModel = { x: 0, y: 0, turn: 0, ...form };
  const curve = betaCurve(bare);
  const places = clicks.map((click) => curve(alongOf(click.tooth, jaw) * form.size));
  const n = clicks.length;
  const mx = places.reduce((sum, p) => sum + p[0], 0) / n;
  const my = places.reduce((sum, p) => sum + p[1], 0) / n;
  const cx = clicks.reduce((sum, p) => sum + p.x, 0) / n;
  const cy = clicks.reduce((sum, p) => sum + p.y, 0) / n;
  let sine = 0;
  let cosine = 0;
  clicks.forEach((click, k) => {
    const [px, py] = places[k]!;
    cosine += (px - mx) * (click.x - cx) + (py - my) * (click.y - cy);
    sine += (px - mx) * (click.y - cy) - (py - my) * (click.x - cx);
  });
  const turn = Math.atan2(sine, cosine) + extra;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  return { ...form, turn, x: cx - (c * mx - s * my), y: cy - (s * mx + c * my) };
}

/** Signed length along a textbook arch from its front to a tooth's middle, mm; negative on the patient's right. */
function alongOf(tooth: ToothNumber, jaw: Jaw): number {
  const order = archOrder(jaw);
  const index = toothSortIndex(tooth);
  const middle = order.length / 2;
  const right = index < middle;
  const between = right ? order.slice(index + 1, middle) : order.slice(middle, index);
  const sum = between.reduce((total, one) => total + textbookSize(one).mesiodistalMm, 0);
  return (right ? -1 : 1) * (sum + textbookSize(tooth).mesiodistalMm / 2);
}

/** Length of a textbook half arch from the front to behind the second molar, mm. */
function halfLength(jaw: Jaw): number {
  return archOrder(jaw)
    .slice(8)
    .filter((tooth) => digitOf(tooth) <= 7)
    .reduce((sum, tooth) => sum + textbookSize(tooth).mesiodistalMm, 0);
}

/** Place at a signed length from the front of the unplaced beta curve; straight back beyond its ends. */
function betaCurve({ widthMm, depthMm }: ArchModel): (along: number) => readonly [number, number] {
  const xs = new Float64Array(CURVE_PIECES + 1);
  const ys = new Float64Array(CURVE_PIECES + 1);
  const lengths = new Float64Array(CURVE_PIECES + 1);
  for (let k = 0; k <= CURVE_PIECES; k++) {
    const x = (widthMm / 2) * (1 - (1 - k / CURVE_PIECES) ** 2);
    const u = Math.max(0, (0.5 + x / widthMm) * (0.5 - x / widthMm));
    xs[k] = x;
    ys[k] = depthMm * (2 ** 1.6 * u ** 0.8 - 1);
    if (k > 0) lengths[k] = lengths[k - 1]! + Math.hypot(x - xs[k - 1]!, ys[k]! - ys[k - 1]!);
  }
  const end = lengths[CURVE_PIECES]!;
  return (along) => {
    const s = Math.abs(along);
    const side = Math.sign(along);
    if (s >= end) return [side * xs[CURVE_PIECES]!, ys[CURVE_PIECES]! - (s - end)];
    let low = 0;
    let high = CURVE_PIECES;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (lengths[middle]! <= s) low = middle;
      else high = middle;
    }
    const f = (s - lengths[low]!) / (lengths[high]! - lengths[low]!);
    return [side * (xs[low]! + f * (xs[high]! - xs[low]!)), ys[low]! + f * (ys[high]! - ys[low]!)];
  };
}

function placedCurve(model: ArchModel): (along: number) => readonly [number, number] {
  const curve = betaCurve(model);
  const [c, s] = [Math.cos(model.turn), Math.sin(model.turn)];
  return (along) => {
    const [x, y] = curve(along);
    return [model.x + c * x - s * y, model.y + s * x + c * y];
  };
}

function misfit(model: ArchModel, relief: CrownRelief, clicks: readonly FlatClick[], jaw: Jaw): number {
  const curve = placedCurve(model);
  const half = halfLength(jaw) * model.size;
  const samples = 80;
  let row = 0;
  for (let k = 0; k <= samples; k++) {
    const [x, y] = curve(((2 * k) / samples - 1) * half);
    row += Math.min(1, prominenceAt(relief, x, y) / FULL_PROMINENCE_MM);
  }
  const usual = USUAL[jaw];
  let cost = ROW_WEIGHT * (1 - row / (samples + 1));
  cost += ((model.widthMm - usual.widthMm) / WIDTH_SPREAD_MM) ** 2 / 2;
  cost += ((model.depthMm - usual.depthMm) / DEPTH_SPREAD_MM) ** 2 / 2;
  cost += ((model.size - 1) / SIZE_SPREAD) ** 2 / 2;
  for (const click of clicks) {
    const [x, y] = curve(alongOf(click.tooth, jaw) * model.size);
    cost += ((x - click.x) ** 2 + (y - click.y) ** 2) / CLICK_SPREAD_MM ** 2 / 2;
  }
  return cost;
}

/** Compass search: each number in turn is tried larger and smaller; steps halve when nothing helps. */
function descend(
  start: ArchModel,
  cost: (model: ArchModel) => number,
): { readonly model: ArchModel; readonly cost: number } {
  const steps = { x: 1.5, y: 1.5, turn: 0.06, widthMm: 3, depthMm: 3, size: 0.03 };
  const names = Object.keys(steps) as (keyof typeof steps)[];
  let model = start;
  let best = cost(start);
  let share = 1;
  for (let round = 0; round < SEARCH_ROUNDS && share > 0.05; round++) {
    let better = false;
    for (const name of names) {
      for (const sign of [1, -1]) {
        const tried = { ...model, [name]: model[name] + sign * share * steps[name] };
        const value = cost(tried);
        if (value >= best) continue;
        model = tried;
        best = value;
        better = true;
        break;
      }
    }
    if (!better) share /= 2;
  }
  return { model, cost: best };
}

function layOut(model: ArchModel, jaw: Jaw): Float64Array {
  const curve = placedCurve(model);
  const half = halfLength(jaw) * model.size + BEYOND_MM;
  const count = Math.ceil((2 * half) / TRACK_STEP_MM);
  const points = new Float64Array(2 * (count + 1));
  for (let k = 0; k <= count; k++) {
    const [x, y] = curve(((2 * k) / count - 1) * half);
    points[2 * k] = x;
    points[2 * k + 1] = y;
  }
  return points;
}

/** Unit normal of the track at point i, towards the front or the cheeks. */
export function outwards(track: ArchTrack, i: number): readonly [number, number] {
  const reach = 4;
  const a = Math.max(0, i - reach);
  const b = Math.min(track.count - 1, i + reach);
  const dx = track.points[2 * b]! - track.points[2 * a]!;
  const dy = track.points[2 * b + 1]! - track.points[2 * a + 1]!;
  const length = Math.hypot(dx, dy);
  return length > 0 ? [-dy / length, dx / length] : [0, 1];
}

/** Moves every point of the track to the middle of what stands out across it, smoothly along the track. */
function drawToCrowns(relief: CrownRelief, track: ArchTrack, reachMm: number): Float64Array {
  const n = track.count;
  const shift = new Float64Array(n);
  const mass = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const [ox, oy] = outwards(track, i);
    const x = track.points[2 * i]!;
    const y = track.points[2 * i + 1]!;
    for (let t = -reachMm; t <= reachMm; t += TRACK_STEP_MM) {
      const out = Math.min(FULL_PROMINENCE_MM, prominenceAt(relief, x + t * ox, y + t * oy)) - GUM_MM;
      if (out <= 0) continue;
      shift[i] = shift[i]! + out * t;
      mass[i] = mass[i]! + out;
    }
  }
  const moved = track.points.slice();
  const radius = Math.ceil((3 * CENTRE_SPREAD_MM) / TRACK_STEP_MM);
  for (let i = 0; i < n; i++) {
    let sum = 0;
    let weight = 0;
    for (let j = Math.max(0, i - radius); j <= Math.min(n - 1, i + radius); j++) {
      const near = Math.exp((-0.5 * ((j - i) * TRACK_STEP_MM) ** 2) / CENTRE_SPREAD_MM ** 2);
      sum += near * shift[j]!;
      weight += near * mass[j]!;
    }
    if (weight <= 0) continue;
    const [ox, oy] = outwards(track, i);
    moved[2 * i] = moved[2 * i]! + (sum / weight) * ox;
    moved[2 * i + 1] = moved[2 * i + 1]! + (sum / weight) * oy;
  }
  return moved;
}

/** The same line with its points {@link TRACK_STEP_MM} apart. */
function evenly(points: Float64Array): ArchTrack {
  const n = points.length / 2;
  const out: number[] = [points[0]!, points[1]!];
  let travelled = 0;
  let next = TRACK_STEP_MM;
  for (let i = 1; i < n; i++) {
    const x = points[2 * i - 2]!;
    const y = points[2 * i - 1]!;
    const dx = points[2 * i]! - x;
    const dy = points[2 * i + 1]! - y;
    const step = Math.hypot(dx, dy);
    while (step > 0 && next <= travelled + step) {
      const f = (next - travelled) / step;
      out.push(x + f * dx, y + f * dy);
      next += TRACK_STEP_MM;
    }
    travelled += step;
  }
  return { points: Float64Array.from(out), count: out.length / 2 };
}
