import type { Analysis } from '../contacts/types.ts';
import { usageError } from '../geometry/archgap-error.ts';
import { type JobControl, UNATTENDED } from '../geometry/job-control.ts';
import { IDENTITY_MOTION, type RigidMotion } from '../geometry/rigid.ts';
import type { ToothNumber } from '../teeth/types.ts';
import type { ArchContact, ArchModel } from './arch-model.ts';
import type { CandidateSpan } from './candidate-spans.ts';
import type { BodyMotion } from './chain-model.ts';
import { describeSpan, toothMotion } from './describe-span.ts';
import { decidedModel } from './plan-closure.ts';
import { crownMotion } from './play-back.ts';
import { type SpanSolution, solveSpan } from './solve-span.ts';
import { CONTACT_TOLERANCE_MM, SURFACE_ROUNDS } from './tolerances.ts';
import type { ClosureSettings, SpanOutcome } from './types.ts';
import { type WeighedSpan, weighSolution } from './weigh-span.ts';

/**
 * Measures one contact on moved crowns: the space between the surfaces of two teeth, mm, negative where they overlap;
 * null where the surfaces cannot say (a bridged contact), and the linear rows are kept.
 */
export type MeasureMoved = (
  toothA: ToothNumber,
  toothB: ToothNumber,
  motionA: RigidMotion,
  motionB: RigidMotion,
) => number | null;

interface MovedContact {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** Between the surfaces as scanned, mm: differs from the measured space by the bias of a mesh minimum. */
  readonly restMm: number;
  /** Between the moved surfaces, on the scale of the measured space, mm. */
  readonly afterMm: number;
}

export interface SurfaceCheck {
  /** Every measured contact inside the span within 0.01 mm of its target, and none overlapping by more than that. */
  readonly met: boolean;
  readonly rounds: number;
  /** The span judged by what the moved surfaces measure; rows that surfaces cannot check are linear still. */
  readonly outcome: SpanOutcome;
  /** The same in numbers only; null when the span has no motions. */
  readonly weighed: WeighedSpan | null;
  readonly measured: readonly MovedContact[];
  /** Largest distance of a measured inside contact from its target after the last round, mm. */
  readonly worstMissMm: number;
  /** How deep the deepest measured overlap is, beyond what a target asks for, mm; 0 when none overlap. */
  readonly deepestOverlapMm: number;
  readonly sentence: string;
}

const NO_MOTIONS = 'The span has no motions that could be checked on the surfaces.';

type Moves = Extract<SpanSolution, { kind: 'moves' | 'nothing-to-close' }>;

/**
 * The geometry check: the rows of the chain are linear, real surfaces are not. Crowns are moved rigidly by the
 * solution, every contact is measured again, what it differs by is added to its row, and the chain is solved again,
 * until every measured inside contact is within 0.01 mm of its target.
 *
 * @throws ArchgapError `PLAN_SPAN` when the arch does not have the span; `CANCELLED`
 */
export async function checkOnSurfaces(
  analysis: Analysis,
  settings: ClosureSettings,
  ends: { readonly from: ToothNumber; readonly to: ToothNumber },
  measure: MeasureMoved,
  control: JobControl = UNATTENDED,
): Promise<SurfaceCheck> {
  const model = decidedModel(analysis, settings);
  const span = findSpan(model, ends);
  const bench = new Bench(analysis, model, span, measure);
  await control.checkpoint(0, 'measuring the surfaces as scanned');
  const rest = bench.measureAt(null);
  const first = solveSpan(model, span, settings);
  if (!moves(first)) {
    const outcome = describeSpan(model, weighSolution(model, span, settings, first), settings);
    return {
      met: false,
      rounds: 0,
      outcome,
      weighed: null,
      measured: [],
      worstMissMm: 0,
      deepestOverlapMm: 0,
      sentence: NO_MOTIONS,
    };
  }
  let solution: Moves = first;
  let standing = stand(model, span, bench, rest, solution, 1);
  let rounds = 1;
  while (!standing.met && rounds < SURFACE_ROUNDS) {
    await control.checkpoint(rounds / (SURFACE_ROUNDS + 1), 'measuring the moved surfaces');
    const { measuredMm } = standing;
    const { changes } = solution;
    const corrections = model.contacts.map((contact, k) => {
      const found = measuredMm[k] ?? null;
      return found === null ? 0 : found - (contact.countedMm + changes[k]!);
    });
    const next = solveSpan(model, span, settings, corrections);
    // Corrections that no motion can follow: the last motions stand, and are told as not met.
    if (!moves(next)) break;
    solution = next;
    standing = stand(model, span, bench, rest, solution, 1);
    rounds += 1;
  }
  return report(model, span, settings, bench, rest, solution, standing, rounds);
}

/** What the moved surfaces say. */
interface Standing {
  /** Per contact of the model, on the scale of the counted spaces; null where surfaces cannot say. */
  readonly measuredMm: readonly (number | null)[];
  readonly worstMissMm: number;
  readonly deepestOverlapMm: number;
  readonly met: boolean;
}

function moves(solution: SpanSolution): solution is Moves {
  return solution.kind === 'moves' || solution.kind === 'nothing-to-close';
}

function findSpan(model: ArchModel, ends: { from: ToothNumber; to: ToothNumber }): CandidateSpan {
  const first = model.teeth.findIndex((tooth) => tooth.tooth === ends.from);
  const last = model.teeth.findIndex((tooth) => tooth.tooth === ends.to);
  if (first < 0 || last <= first) {
    throw usageError(
      'PLAN_SPAN',
      `The arch has no span from ${ends.from} to ${ends.to}; name two of its teeth from the patient’s right to left.`,
    );
  }
  return { first, last, sides: 'both' };
}

/** Asks the surfaces about every contact that the span can change. */
class Bench {
  constructor(
    private readonly analysis: Analysis,
    private readonly model: ArchModel,
    private readonly span: CandidateSpan,
    private readonly measure: MeasureMoved,
  ) {}

  /** Raw distances per contact of the model; null outside the reach of the span or where surfaces cannot say. */
  measureAt(motions: readonly BodyMotion[] | null): (number | null)[] {
    const rigid = this.model.teeth.map((_, i) => this.rigidOf(i, motions?.[i] ?? null));
    return this.model.contacts.map((contact, k) => {
      if (contact.kind === 'site' || k < this.span.first - 1 || k > this.span.last) return null;
      return this.measure(contact.toothA, contact.toothB, rigid[k]!, rigid[k + 1]!);
    });
  }

  private rigidOf(index: number, motion: BodyMotion | null): RigidMotion {
    if (motion === null) return IDENTITY_MOTION;
    const record = this.analysis.teeth[index]!;
    return crownMotion(this.analysis.frame, record.centre, toothMotion(this.model, index, motion));
  }
}

function stand(
  model: ArchModel,
  span: CandidateSpan,
  bench: Bench,
  rest: readonly (number | null)[],
  solution: Moves,
  share: number,
): Standing {
  const motions = solution.motions.map((m) => ({
    dx: m.dx * share,
    dy: m.dy * share,
    theta: m.theta * share,
  }));
  const raw = bench.measureAt(motions);
  const measuredMm = model.contacts.map((contact, k) => {
    const now = raw[k] ?? null;
    const before = rest[k] ?? null;
    return now === null || before === null ? null : contact.countedMm + (now - before);
  });
  let worstMissMm = 0;
  let deepestOverlapMm = 0;
  measuredMm.forEach((space, k) => {
    if (space === null) return;
    const target = targetOf(model.contacts[k]!);
    const inside = k >= span.first && k < span.last;
    if (inside && solution.kind === 'moves') worstMissMm = Math.max(worstMissMm, Math.abs(space - target));
    deepestOverlapMm = Math.max(deepestOverlapMm, Math.min(0, target) - space);
  });
  const met = worstMissMm <= CONTACT_TOLERANCE_MM && deepestOverlapMm <= CONTACT_TOLERANCE_MM;
  return { measuredMm, worstMissMm, deepestOverlapMm, met };
}

/** Where an inside contact is drawn to: its target, or where it is when it lies below that already. */
function targetOf(contact: ArchContact): number {
  return Math.min(contact.targetMm, contact.countedMm);
}

function report(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  bench: Bench,
  rest: readonly (number | null)[],
  solution: Moves,
  standing: Standing,
  rounds: number,
): SurfaceCheck {
  const changes = solution.changes.map((change, k) => {
    const space = standing.measuredMm[k] ?? null;
    return space === null ? change : space - model.contacts[k]!.countedMm;
  });
  const weighed = weighSolution(model, span, settings, { ...solution, changes });
  const share = weighed.shownShare;
  // Where the stages ordered stop short of the whole motion: what is told is measured there, not scaled.
  const stopped = share < 1 ? stand(model, span, bench, rest, solution, share) : standing;
  const afterMm = weighed.afterMm.map((space, k) => stopped.measuredMm[k] ?? space);
  const corrected: WeighedSpan = {
    ...weighed,
    afterMm,
    wholeMm: share < 1 ? weighed.wholeMm : afterMm,
  };
  const outcome = describeSpan(model, corrected, settings);
  const measured = model.contacts.flatMap((contact, k): MovedContact[] => {
    const restMm = rest[k] ?? null;
    const space = stopped.measuredMm[k] ?? null;
    if (restMm === null || space === null) return [];
    return [{ toothA: contact.toothA, toothB: contact.toothB, restMm, afterMm: space }];
  });
  const { met, worstMissMm, deepestOverlapMm } = standing;
  return {
    met,
    rounds,
    outcome,
    weighed: corrected,
    measured,
    worstMissMm,
    deepestOverlapMm,
    sentence: sentenceOf(measured.length, standing, rounds),
  };
}

function sentenceOf(count: number, standing: Standing, rounds: number): string {
  if (count === 0)
    return 'No contact of this span can be measured again on the moved surfaces; the spaces are linear.';
  const contacts = count === 1 ? '1 contact was' : `${count} contacts were`;
  const within = `${standing.worstMissMm.toFixed(3)} mm`;
  if (standing.met) {
    return `${contacts} measured again on the moved surfaces: within ${within} of the target after ${rounds === 1 ? '1 round' : `${rounds} rounds`}, no overlap beyond 0.01 mm.`;
  }
  return `${contacts} measured again on the moved surfaces and not met: off by up to ${within}, overlap up to ${standing.deepestOverlapMm.toFixed(3)} mm after ${rounds} rounds.`;
}
