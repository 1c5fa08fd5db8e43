import { type ArchContact, type ArchModel, asksForClosing } from './arch-model.ts';
import type { CandidateSpan } from './candidate-spans.ts';
import {
  type BodyMotion,
  type ChainBody,
  type ChainContact,
  type ChainProblem,
  gapChange,
  solveChain,
} from './chain-model.ts';
import { ABSURD_ROTATION_RAD, ABSURD_TRAVEL_RATIO } from './tolerances.ts';
import type { ClosureSettings } from './types.ts';

/** What drawing one span together does to every tooth and contact of the arch, before stages are counted. */
export type SpanSolution =
  | {
      readonly kind: 'moves' | 'nothing-to-close';
      /** One per tooth of the model. */
      readonly motions: readonly BodyMotion[];
      /** dg per contact of the model, mm. */
      readonly changes: readonly number[];
      /** Per contact of the model; null outside the span. */
      readonly tensions: readonly (number | null)[];
    }
  /** The rows contradict each other; `contact` is the one that cannot be closed, where one can be named. */
  | { readonly kind: 'contradiction'; readonly contact: number | null }
  /** The rows can be met, but only by levering a tooth out of all proportion. */
  | {
      readonly kind: 'absurd';
      readonly tooth: number;
      readonly travelMm: number;
      readonly turnRad: number;
      readonly closedMm: number;
    };

const AT_REST: BodyMotion = { dx: 0, dy: 0, theta: 0 };

/**
 * The chain of one span. Bodies: the teeth of the span, and the neighbour behind each end, which is not held but
 * stays where it is. Rows: every space inside is drawn to its target - never pushed apart to it - and the width of
 * a site without a tooth is held; the contacts behind the ends may open but not fall below zero.
 *
 * @param corrections - added to the counted spaces, per contact of the model, mm: what measuring on moved
 *   surfaces found beyond the linear rows
 */
function spanProblem(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  corrections: readonly number[] | null = null,
): { readonly problem: ChainProblem; readonly firstTooth: number; readonly firstContact: number } {
  const firstTooth = Math.max(0, span.first - 1);
  const lastTooth = Math.min(model.teeth.length - 1, span.last + 1);
  const bodies = model.teeth.slice(firstTooth, lastTooth + 1).map(
    (tooth, i): ChainBody => ({
      centre: tooth.centre,
      resistance: tooth.resistance,
      fixed: tooth.fixed || firstTooth + i < span.first || firstTooth + i > span.last,
    }),
  );
  const contacts = model.contacts.slice(firstTooth, lastTooth).map((contact, i): ChainContact => {
    const k = firstTooth + i;
    const inside = k >= span.first && k < span.last;
    return chainContact(contact, i, inside, corrections?.[k] ?? 0);
  });
  return {
    problem: { bodies, contacts, rotationArmMm: settings.rotationArmMm },
    firstTooth,
    firstContact: firstTooth,
  };
}

/** Draws one span together, by the linear rows. */
export function solveSpan(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  corrections: readonly number[] | null = null,
): SpanSolution {
  const inside = model.contacts.slice(span.first, span.last);
  if (!inside.some((contact) => asksForClosing(contact, settings.limitMm))) return atRest(model, span);
  const { problem, firstTooth } = spanProblem(model, span, settings, corrections);
  const solution = solveChain(problem);
  if (!solution.solved) {
    const contact = solution.contradicting === null ? null : firstTooth + solution.contradicting;
    return { kind: 'contradiction', contact };
  }
  const closedMm = problem.contacts.reduce(
    (sum, contact) => sum + (contact.kind === 'draw' ? Math.abs(contact.targetMm - contact.gapMm) : 0),
    0,
  );
  const absurd = solution.motions.findIndex(
    (motion) =>
      Math.hypot(motion.dx, motion.dy) > ABSURD_TRAVEL_RATIO * closedMm ||
      Math.abs(motion.theta) > ABSURD_ROTATION_RAD,
  );
  if (absurd >= 0) {
    const { dx, dy, theta } = solution.motions[absurd]!;
    return {
      kind: 'absurd',
      tooth: firstTooth + absurd,
      travelMm: Math.hypot(dx, dy),
      turnRad: theta,
      closedMm,
    };
  }
  return {
    kind: 'moves',
    motions: model.teeth.map((_, i) => solution.motions[i - firstTooth] ?? AT_REST),
    changes: model.contacts.map((_, k) => {
      const contact = problem.contacts[k - firstTooth];
      return contact ? gapChange(contact, problem.bodies, solution.motions) : 0;
    }),
    tensions: model.contacts.map((_, k) =>
      k >= span.first && k < span.last ? solution.tensions[k - firstTooth]! : null,
    ),
  };
}

function atRest(model: ArchModel, span: CandidateSpan): SpanSolution {
  return {
    kind: 'nothing-to-close',
    motions: model.teeth.map(() => AT_REST),
    changes: model.contacts.map(() => 0),
    tensions: model.contacts.map((_, k) => (k >= span.first && k < span.last ? 0 : null)),
  };
}

function chainContact(
  contact: ArchContact,
  index: number,
  inside: boolean,
  correctionMm: number,
): ChainContact {
  const counted = contact.countedMm;
  let kind: ChainContact['kind'] = 'draw';
  let gapMm = counted + correctionMm;
  let targetMm = Math.min(contact.targetMm, counted);
  if (contact.kind === 'site') {
    // Held inside; behind the end of the span a site has no wall to run into.
    kind = inside ? 'draw' : 'free';
    gapMm = 0;
    targetMm = 0;
  } else if (!inside) {
    // Behind the end of the span: may open, must not be closed below zero.
    kind = 'keep-apart';
    targetMm = Math.min(0, counted);
  }
  return {
    a: index,
    b: index + 1,
    pointA: contact.pointA,
    pointB: contact.pointB,
    direction: contact.direction,
    gapMm,
    kind,
    targetMm,
  };
}
