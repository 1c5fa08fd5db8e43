import { teethNotSaid } from '../contacts/not-clicked.ts';
import type { Analysis, Contact, ContactStatus } from '../contacts/types.ts';
import { inputError } from '../geometry/archgap-error.ts';
import { cross, dot } from '../geometry/vec3.ts';
import { digitOf, quadrantOf } from '../teeth/notation.ts';
import type { ToothNumber, ToothRecord } from '../teeth/types.ts';
import {
  add2,
  dot2,
  length2,
  perp,
  projectDirection,
  projectPoint,
  scale2,
  sub2,
  unit2,
  type Vec2,
} from './plane.ts';
import { rootAreaMm2 } from './root-areas.ts';
import { type UnseenEnd, unseenEnds } from './row-ends.ts';
import { CONTACT_TOLERANCE_MM, DIRECTION_MIN_COSINE, DIRECTION_MIN_MM } from './tolerances.ts';
import type { ClosureSettings, FlossFinding } from './types.ts';

/** A tooth of the arch in the occlusal plane (x to the patient's left, y to the front, mm). */
export interface ArchTooth {
  readonly tooth: ToothNumber;
  readonly side: 'right' | 'left';
  /** 1 = central incisor ... 8 = third molar. */
  readonly digit: number;
  readonly centre: Vec2;
  readonly resistance: number;
  readonly fixed: boolean;
  /** Unit directions towards the midline along the arch, and towards the cheek or lip. */
  readonly mesial: Vec2;
  readonly buccal: Vec2;
}

/** The place between `teeth[k]` and `teeth[k + 1]`. */
export interface ArchContact {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly status: ContactStatus;
  /** `site`: teeth are missing between the two (or nothing was measured there); its width is held. */
  readonly kind: 'contact' | 'site';
  readonly beforeMm: number | null;
  readonly u95Mm: number | null;
  /** What the model counts from: the measured space, else what floss allows to say, else zero. */
  readonly countedMm: number;
  readonly targetMm: number;
  readonly pointA: Vec2;
  readonly pointB: Vec2;
  readonly direction: Vec2;
  /** Buccolingual offset of the closest points, mm; null where not measured. */
  readonly slipMm: number | null;
  /** The largest space that may hide here, mm; null when nothing bounds it. */
  readonly upperBoundMm: number | null;
  readonly floss: FlossFinding | null;
  /** Open by the scan's decision, or found open with floss where the scan could not decide. */
  readonly open: boolean;
  /** Neither proven closed nor open: floss decides. */
  readonly unsettled: boolean;
}

/**
 * A contact counts as lost when more than a 50 um strip passes (facts 0.3, 1.5): the least a contact is counted at
 * that floss found open and nothing else measured.
 */
const FLOSS_PASSES_MM = 0.05;

/** What the planner knows of an arch, laid into the occlusal plane. */
export interface ArchModel {
  readonly teeth: readonly ArchTooth[];
  /** One per neighbouring pair: `contacts[k]` lies between `teeth[k]` and `teeth[k + 1]`. */
  readonly contacts: readonly ArchContact[];
  /** 1 when a turn from frame x to frame y is counter-clockwise seen from the crowns' tops, else -1. */
  readonly turnSign: 1 | -1;
  /** Index of the contact that crosses the midline; null when all teeth stand on one side. */
  readonly midlineContact: number | null;
  /** Ends of the row behind which a tooth may stand that was not seen. */
  readonly unseenEnds: readonly UnseenEnd[];
  /** Sites that count as empty although nobody said so of these teeth. */
  readonly sitesNotSaid: readonly SiteNotSaid[];
  /** Whether the teeth are separate crowns; else they were clicked on a scan. */
  readonly ofCrowns: boolean;
}

interface SiteNotSaid {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly teeth: readonly ToothNumber[];
}

/** Half a textbook crown, mm: where a contact lies when neither the scan nor the tooth's width says it. */
const HALF_CROWN_MM = 4;

/**
 * Lays the analysis into the occlusal plane: tooth centres and contact points are projected along the occlusal
 * axis, so height and tipping are left out on purpose.
 *
 * @throws ArchgapError `PLAN_NOT_NUMBERS` when a centre or point is not finite
 */
export function archModel(analysis: Analysis, settings: ClosureSettings): ArchModel {
  const { frame } = analysis;
  const centres = analysis.teeth.map((record) => projectPoint(frame, record.centre));
  if (!centres.every((centre) => centre.every(Number.isFinite))) {
    throw inputError('PLAN_NOT_NUMBERS', 'A tooth centre is not a finite number; measure the scan again.');
  }
  const leftward = leftwardSign(analysis.teeth, centres);
  const fixed = new Set(settings.fixed);
  const teeth = analysis.teeth.map((record, i): ArchTooth => {
    const side = sideOf(record.tooth);
    const before = centres[Math.max(0, i - 1)]!;
    const after = centres[Math.min(centres.length - 1, i + 1)]!;
    const along = unit2(sub2(after, before), [leftward, 0]);
    return {
      tooth: record.tooth,
      side,
      digit: digitOf(record.tooth),
      centre: centres[i]!,
      resistance: rootAreaMm2(record.tooth),
      fixed: record.fixed || fixed.has(record.tooth),
      mesial: side === 'right' ? along : scale2(along, -1),
      buccal: scale2(perp(along), leftward),
    };
  });
  const contacts = teeth
    .slice(0, -1)
    .map((tooth, k) =>
      archContact(analysis, settings, tooth, teeth[k + 1]!, [analysis.teeth[k]!, analysis.teeth[k + 1]!]),
    );
  const crossing = teeth.findIndex((tooth, i) => tooth.side === 'right' && teeth[i + 1]?.side === 'left');
  return {
    teeth,
    contacts,
    turnSign: dot(cross(frame.x, frame.y), frame.z) < 0 ? -1 : 1,
    midlineContact: crossing < 0 ? null : crossing,
    unseenEnds: unseenEnds(
      analysis.jaw,
      teeth.map(({ tooth }) => tooth),
      analysis.missing,
    ),
    sitesNotSaid: analysis.contacts
      .filter(({ status }) => status === 'missing-tooth')
      .map(({ toothA, toothB }) => ({ toothA, toothB, teeth: teethNotSaid(analysis, { toothA, toothB }) }))
      .filter(({ teeth: unsaid }) => unsaid.length > 0),
    ofCrowns: analysis.kind === 'crowns',
  };
}

/** The patient's side of a tooth. */
function sideOf(tooth: ToothNumber): 'right' | 'left' {
  const quadrant = quadrantOf(tooth);
  return quadrant === 1 || quadrant === 4 ? 'right' : 'left';
}

/** Whether the plan is made for this contact: open, or to be over-closed beyond where it is. */
export function isAsked(contact: ArchContact): boolean {
  if (contact.kind === 'site') return false;
  return (
    contact.open || (contact.targetMm < 0 && contact.countedMm > contact.targetMm + CONTACT_TOLERANCE_MM)
  );
}

/** Whether a space counts as open for the plan: decided so, or above the limit by its best estimate. */
export function asksForClosing(contact: ArchContact, limitMm: number): boolean {
  if (contact.kind === 'site') return false;
  return isAsked(contact) || contact.countedMm > limitMm;
}

/** Whether a contact that measures `afterMm` after the stages is still (or newly) open. */
export function isOpenAfter(contact: ArchContact, afterMm: number, limitMm: number): boolean {
  if (contact.kind === 'site') return false;
  if (afterMm > limitMm + Number.EPSILON) return true;
  // Floss found it open although the scan's best estimate lies below the limit: only contact will do.
  return contact.floss?.finding === 'open' && contact.open && afterMm > CONTACT_TOLERANCE_MM;
}

/** +1 when frame x runs to the patient's left, as it should; -1 in a frame that runs the other way. */
function leftwardSign(records: readonly ToothRecord[], centres: readonly Vec2[]): 1 | -1 {
  const first = centres[0];
  const last = centres[centres.length - 1];
  const bothSides =
    records.some((r) => sideOf(r.tooth) === 'right') && records.some((r) => sideOf(r.tooth) === 'left');
  return bothSides && first && last && last[0] < first[0] ? -1 : 1;
}

function archContact(
  analysis: Analysis,
  settings: ClosureSettings,
  a: ArchTooth,
  b: ArchTooth,
  records: readonly [ToothRecord, ToothRecord],
): ArchContact {
  const source = analysis.contacts.find((c) => c.toothA === a.tooth && c.toothB === b.tooth) ?? null;
  const between = unit2(sub2(b.centre, a.centre), [1, 0]);
  const pointA = source?.pointA
    ? projectPoint(analysis.frame, source.pointA)
    : add2(a.centre, scale2(between, (records[0].mesiodistalMm ?? 2 * HALF_CROWN_MM) / 2));
  const pointB = source?.pointB
    ? projectPoint(analysis.frame, source.pointB)
    : sub2(b.centre, scale2(between, (records[1].mesiodistalMm ?? 2 * HALF_CROWN_MM) / 2));
  const status = source?.status ?? 'not-measurable';
  const kind = source === null || status === 'missing-tooth' ? 'site' : 'contact';
  const floss = flossFor(settings, a.tooth, b.tooth);
  const beforeMm = kind === 'site' ? null : (source?.gap?.valueMm ?? null);
  const u95Mm = beforeMm === null ? null : (source?.gap?.u95Mm ?? null);
  const scanUndecided = status === 'undecided' || status === 'bridged' || status === 'not-measurable';
  const upperBoundMm = beforeMm !== null ? beforeMm + (u95Mm ?? 0) : (source?.upperBoundMm ?? null);
  const open = kind === 'contact' && (status === 'open' || (scanUndecided && floss?.finding === 'open'));
  // A bound that was only assumed of scanners, not seen at this contact, settles nothing.
  const assumed = status === 'bridged' && (source?.notes.includes('bound-scanner') ?? false);
  const mayHide = upperBoundMm === null || upperBoundMm > settings.limitMm || assumed;
  return {
    toothA: a.tooth,
    toothB: b.tooth,
    status,
    kind,
    beforeMm,
    u95Mm,
    countedMm: kind === 'site' ? 0 : counted(status, beforeMm, upperBoundMm, floss, settings.limitMm),
    targetMm: targetFor(settings, a.tooth, b.tooth),
    pointA,
    pointB,
    direction: closingDirection(analysis, source, between),
    slipMm: source?.slipMm ?? null,
    upperBoundMm,
    floss,
    open,
    unsettled: kind === 'contact' && scanUndecided && floss === null && mayHide,
  };
}

function counted(
  status: ContactStatus,
  beforeMm: number | null,
  upperBoundMm: number | null,
  floss: FlossFinding | null,
  limitMm: number,
): number {
  const decided = status !== 'undecided' && status !== 'bridged' && status !== 'not-measurable';
  if (decided || floss === null) return beforeMm ?? 0;
  if (floss.finding === 'closed') return 0;
  const size = floss.spaceMm ?? beforeMm ?? upperBoundMm;
  // Floss passed: there is a space, also where the scan's number or bound leaves hardly any.
  return size !== null && size > CONTACT_TOLERANCE_MM ? size : Math.max(limitMm, FLOSS_PASSES_MM);
}

function flossFor(settings: ClosureSettings, a: ToothNumber, b: ToothNumber): FlossFinding | null {
  return settings.floss?.find((f) => samePair(f, a, b)) ?? null;
}

function targetFor(settings: ClosureSettings, a: ToothNumber, b: ToothNumber): number {
  return settings.targets?.find((t) => samePair(t, a, b))?.targetMm ?? 0;
}

function samePair(
  pair: { toothA: ToothNumber; toothB: ToothNumber },
  a: ToothNumber,
  b: ToothNumber,
): boolean {
  return (pair.toothA === a && pair.toothB === b) || (pair.toothA === b && pair.toothB === a);
}

/**
 * n_k: the unit vector from closest point to closest point, projected into the occlusal plane and not stretched
 * again: only that share of a motion in the plane changes the space. Between the centres where the points touch
 * or do not lie side by side.
 */
function closingDirection(analysis: Analysis, source: Contact | null, between: Vec2): Vec2 {
  if (!source?.pointA || !source.pointB || source.status === 'overlap') return between;
  const offset: readonly [number, number, number] = [
    source.pointB[0] - source.pointA[0],
    source.pointB[1] - source.pointA[1],
    source.pointB[2] - source.pointA[2],
  ];
  const size = Math.sqrt(dot(offset, offset));
  if (size < DIRECTION_MIN_MM) return between;
  const direction = scale2(projectDirection(analysis.frame, offset), 1 / size);
  if (length2(direction) < DIRECTION_MIN_COSINE || dot2(direction, between) < DIRECTION_MIN_COSINE)
    return between;
  return direction;
}
