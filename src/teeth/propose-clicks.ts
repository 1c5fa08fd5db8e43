import { nearestOnMesh } from '../geometry/nearest-on-mesh.ts';
import type { Vec3 } from '../geometry/types.ts';
import { addScaled, dot, sub } from '../geometry/vec3.ts';
import { type ArchTrack, inPlane, outwards, TRACK_STEP_MM, trackArch } from './arch-track.ts';
import { CLICK_REACH_MM } from './clicks.ts';
import { type CrownRelief, crownRelief, heightAt, prominenceAt } from './crown-relief.ts';
import { archOrder, digitOf, jawOf, quadrantOf } from './notation.ts';
import { firstClicks, frameAround, occlusalAxis, type PlacedTooth, surfaceVotes } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { profileRow, type RowProfile } from './row-profile.ts';
import { type RowPart, type RowSplit, splitRow, type TrackClick } from './split-row.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { ClickSet, Jaw, ToothNumber } from './types.ts';

/** Where a tooth that was not clicked seems to be. A proposal only: it counts when the user accepts it. */
export interface ClickProposal {
  readonly tooth: ToothNumber;
  /** On the surface near the middle of the crown's top, scan frame, mm. */
  readonly point: Vec3;
  /** 0 to 1. */
  readonly confidence: number;
}

/** Something the user should decide before trusting the numbers. */
export interface HelpQuestion {
  /** `TOOTH_SEEMS_MISSING`: the row has no crown for one of them; `TOOTH_MAY_BE_MISSING`: it hardly has. */
  readonly code: 'TOOTH_SEEMS_MISSING' | 'TOOTH_MAY_BE_MISSING';
  /** The readings that fit about equally well (either premolar, say), best first. */
  readonly teeth: readonly ToothNumber[];
}

/** The answer of {@link proposeClicks}; both lists in arch order. */
export interface ClickHelp {
  readonly proposals: readonly ClickProposal[];
  readonly questions: readonly HelpQuestion[];
}

/** Fewer clicked teeth say too little about size and direction of the arch. */
export const FEWEST_CLICKED = 2;
/** What leaving out a tooth costs beside a better fit, and how near a second-best reading must come to be asked about. */
const ABSENCE_COST = 3.5;
const NEAR_READING = 2;
const MOST_ABSENCES = 4;
/** The top of a crown: everything this little below its highest place, mm. */
const TOP_MM = 2.5;
const STRIP_MM = 6;
/** The middle of the crown is looked for in this share of its width around the middle. */
const MIDDLE_SHARE = 0.5;
const LEAST_PROMINENCE_MM = 1;
/** Tops are taken every so many points of the track, where something stands out this far, mm. */
const TOPS_STRIDE = 8;
const STANDS_MM = 3;
/** Crowns reach down at least this far below the level of the tops, mm; what lies lower is gum. */
const CROWN_DEPTH_MM = 5.5;

const NOTHING: ClickHelp = { proposals: [], questions: [] };

/**
 * Proposes a place for every tooth that was not clicked, from the second clicked tooth on: the row of crowns is
 * found on the relief of the scan, and divided at its embrasures into teeth of textbook widths scaled to the mouth.
 *
 * @param clicks - from at least {@link FEWEST_CLICKED} teeth; with fewer the answer is empty
 */
export function proposeClicks(base: TeethBase, clicks: ClickSet): ClickHelp {
  const teeth = firstClicks(clicks);
  if (teeth.length < FEWEST_CLICKED) return NOTHING;
  const { relief, track } = findRow(base, teeth, clicks.jaw);
  const profile = profileRow(relief, track, base.graph);
  const onTrack = teeth.map(({ tooth, point }) => ({ tooth, at: nearestOnTrack(track, relief, point) }));
  const reading = readRow(profile, onTrack, clicks);
  if (!reading) return NOTHING;
  const clicked = new Set(teeth.map((tooth) => tooth.tooth));
  const wanted = reading.split.parts.filter((part) => !clicked.has(part.tooth));
  const places = wanted.map((part) => topOf(part, relief, track));
  const landed = nearestOnMesh(base.scan, places, CLICK_REACH_MM);
  const proposals = wanted.flatMap((part, k) => {
    const place = landed[k];
    if (!place) return [];
    const doubted = reading.questions.some((question) => question.teeth.includes(part.tooth));
    const confidence = confidenceOf(part, reading.split, profile) * (doubted ? 0.5 : 1);
    return [{ tooth: part.tooth, point: place.point, confidence }];
  });
  return { proposals, questions: reading.questions };
}

/**
 * Relief and track of the row. The first look is along the axis that clicks and surface give; the tops of the crowns
 * found there lie near a plane, and the second look is straight down on it.
 */
function findRow(
  base: TeethBase,
  teeth: readonly PlacedTooth[],
  jaw: Jaw,
): { readonly relief: CrownRelief; readonly track: ArchTrack } {
  const votes = surfaceVotes(base.nodeAreaVector, base.graph.centroid, teeth);
  const first = frameAround(occlusalAxis(votes, teeth), teeth, jaw, [0, 0, 0]);
  const rough = crownRelief(base.scan, first);
  const tops = topsAlong(rough, trackArch(rough, teeth, jaw));
  const z = occlusalAxis(
    votes,
    tops.map((point, k) => ({ tooth: k, point })),
  );
  const frame = frameAround(z, teeth, jaw, [0, 0, 0]);
  const heights = tops.map((point) => dot(sub(point, frame.origin), z)).sort((a, b) => a - b);
  const level = heights[heights.length >> 1] ?? 0;
  const relief = crownRelief(base.scan, frame, level - CROWN_DEPTH_MM);
  return { relief, track: trackArch(relief, teeth, jaw) };
}

/** The highest place across every few millimetres of the track where a crown stands. Scan frame, mm. */
function topsAlong(relief: CrownRelief, track: ArchTrack): Vec3[] {
  const tops: Vec3[] = [];
  for (let i = 0; i < track.count; i += TOPS_STRIDE) {
    const [ox, oy] = outwards(track, i);
    let best: { readonly x: number; readonly y: number; readonly z: number } | null = null;
    for (let t = -STRIP_MM; t <= STRIP_MM; t += TRACK_STEP_MM) {
      const x = track.points[2 * i]! + t * ox;
      const y = track.points[2 * i + 1]! + t * oy;
      const z = heightAt(relief, x, y);
      if (z === null || prominenceAt(relief, x, y) < STANDS_MM) continue;
      if (!best || z > best.z) best = { x, y, z };
    }
    if (best) tops.push(inSpace(relief, best.x, best.y, best.z));
  }
  return tops;
}

function inSpace({ frame }: CrownRelief, x: number, y: number, z: number): Vec3 {
  return addScaled(addScaled(addScaled(frame.origin, frame.x, x), frame.y, y), frame.z, z);
}

interface RowReading {
  readonly split: RowSplit;
  readonly questions: readonly HelpQuestion[];
}

/** Reads the row with all teeth and with single teeth left out, and keeps what fits best. */
function readRow(
  profile: RowProfile,
  onTrack: readonly TrackClick[],
  { jaw, missing }: ClickSet,
): RowReading | null {
  let absent = [...missing];
  let split = splitRow(profile, onTrack, jaw, absent);
  const questions: HelpQuestion[] = [];
  let doubt: ToothNumber[] = [];
  for (let round = 0; round < MOST_ABSENCES; round++) {
    const tried = candidates(split, onTrack).flatMap((tooth) => {
      const other = splitRow(profile, onTrack, jaw, [...absent, tooth]);
      return other ? [{ tooth, split: other, cost: other.cost + ABSENCE_COST }] : [];
    });
    tried.sort((a, b) => a.cost - b.cost);
    const best = tried[0];
    const now = split?.cost ?? Number.POSITIVE_INFINITY;
    doubt = tried.filter((other) => other.cost < now + NEAR_READING).map((other) => other.tooth);
    if (!best || best.cost >= now) break;
    absent = [...absent, best.tooth];
    const alike = tried.filter(
      (other) => other.cost < best.cost + NEAR_READING && quadrantOf(other.tooth) === quadrantOf(best.tooth),
    );
    questions.push({ code: 'TOOTH_SEEMS_MISSING', teeth: alike.map((other) => other.tooth) });
    split = best.split;
    doubt = [];
  }
  if (!split) return null;
  if (doubt.length > 0) questions.push({ code: 'TOOTH_MAY_BE_MISSING', teeth: doubt });
  return { split, questions };
}

/** Teeth that may be absent: between the ends of the row and not clicked; every place when the row makes no sense. */
function candidates(split: RowSplit | null, onTrack: readonly TrackClick[]): ToothNumber[] {
  const clicked = onTrack.map((click) => click.tooth);
  const parts = split?.parts.slice(1, -1) ?? archOrder(jawOf(clicked[0]!)).map((tooth) => ({ tooth }));
  return parts.map((part) => part.tooth).filter((tooth) => !clicked.includes(tooth) && digitOf(tooth) < 8);
}

/** Point of the track nearest to a click, seen from above. */
function nearestOnTrack(track: ArchTrack, relief: CrownRelief, point: Vec3): number {
  const { x, y } = inPlane(relief, point);
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < track.count; i++) {
    const d = (track.points[2 * i]! - x) ** 2 + (track.points[2 * i + 1]! - y) ** 2;
    if (d >= least) continue;
    least = d;
    best = i;
  }
  return best;
}

/** Middle of the crown's top: mean of its high places in the middle of the part. Scan frame, mm. */
function topOf(part: RowPart, relief: CrownRelief, track: ArchTrack): Vec3 {
  const middle = (part.from + part.to) / 2;
  const half = (MIDDLE_SHARE / 2) * (part.to - part.from);
  const places: { readonly x: number; readonly y: number; readonly z: number }[] = [];
  for (let i = Math.round(middle - half); i <= middle + half; i++) {
    const [ox, oy] = outwards(track, i);
    for (let t = -STRIP_MM; t <= STRIP_MM; t += TRACK_STEP_MM) {
      const x = track.points[2 * i]! + t * ox;
      const y = track.points[2 * i + 1]! + t * oy;
      const z = heightAt(relief, x, y);
      if (z !== null && prominenceAt(relief, x, y) > LEAST_PROMINENCE_MM) places.push({ x, y, z });
    }
  }
  const i = Math.round(middle);
  let x = track.points[2 * i]!;
  let y = track.points[2 * i + 1]!;
  const highest = places.reduce((most, place) => Math.max(most, place.z), Number.NEGATIVE_INFINITY);
  const top = places.filter((place) => place.z > highest - TOP_MM);
  if (top.length > 0) {
    x = top.reduce((sum, place) => sum + place.x, 0) / top.length;
    y = top.reduce((sum, place) => sum + place.y, 0) / top.length;
  }
  const z = heightAt(relief, x, y) ?? (top.length > 0 ? highest : 0);
  return inSpace(relief, x, y, z);
}

/** From embrasures on both sides, a usual width, and a crown that stands there. */
function confidenceOf(part: RowPart, split: RowSplit, profile: RowProfile): number {
  const width = (split.size * textbookSize(part.tooth).mesiodistalMm) / TRACK_STEP_MM;
  const deviation = ((part.to - part.from) / width - 1) / 0.2;
  const sides = (profile.embrasure[part.from]! + profile.embrasure[part.to]!) / 2;
  let stands = 0;
  for (let i = part.from; i < part.to; i++) stands += profile.presence[i]! / (part.to - part.from);
  return Math.exp(-(deviation ** 2) / 2) * stands * (0.4 + 0.6 * Math.min(1, 1.5 * sides));
}
