import type { Analysis } from '../contacts/types.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import type { TriangleMesh } from '../geometry/types.ts';
import type { ToothMap } from '../teeth/types.ts';
import { checkOnSurfaces, type SurfaceCheck } from './moved-mesh.ts';
import { asOrdered, proposedSpan } from './ordered-outcome.ts';
import { assemblePlan, draftPlan, type PlanDraft } from './plan-closure.ts';
import { type OpposingScan, planRoom } from './room.ts';
import { DEFAULT_SENSITIVITY, planSensitivity } from './sensitivity.ts';
import { surfaceSpaces } from './surface-spaces.ts';
import { CONTACT_TOLERANCE_MM } from './tolerances.ts';
import type { ClosurePlan, ClosureSettings, PlanSurfaceCheck, Reason, SpanOutcome } from './types.ts';

/** What a plan can be checked against beyond the table of contacts. */
export interface PlanSurfaces {
  /** The scan that was measured; not modified. */
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle. */
  readonly labels: ToothMap;
  /** The opposing arch, in the same file coordinates; null or absent = none. */
  readonly opposing?: OpposingScan | null;
}

/** Shares of the work: measuring on moved crowns, then the room; what is left draws the sensitivity. */
const CHECKED = 0.6;
const ROOMED = 0.8;

/**
 * The plan with all that stands beside it: how it changes with its inputs; with surfaces, the proposed span measured
 * on the moved crowns - its row then holds what they measure, and the proposal is made again from it, until the span
 * that is proposed is one that was measured; with an opposing arch, the room along each tooth's motion.
 *
 * @param surfaces - null when only the table of contacts is at hand
 * @param opposingArch - the measured opposing arch, for the tooth widths; null when it is not at hand
 * @throws ArchgapError `PLAN_SETTING`, `PLAN_NOT_NUMBERS`, `BOLTON_JAWS`, `CANCELLED`
 */
export async function completePlan(
  analysis: Analysis,
  settings: ClosureSettings,
  surfaces: PlanSurfaces | null,
  control: JobControl = UNATTENDED,
  opposingArch: Analysis | null = null,
): Promise<ClosurePlan> {
  let draft = draftPlan(analysis, settings, opposingArch);
  let plan = assemblePlan(draft, settings);
  let check: SurfaceCheck | null = null;
  if (surfaces !== null) {
    const measure = surfaceSpaces(surfaces.mesh, surfaces.labels, analysis);
    const checks = new Map<number, SurfaceCheck>();
    for (let index = proposedIndex(plan); index >= 0 && !checks.has(index); index = proposedIndex(plan)) {
      const ends = plan.spans[index]!;
      const found = await checkOnSurfaces(analysis, settings, ends, measure, subJob(control, 0, CHECKED));
      checks.set(index, found);
      draft = corrected(draft, index, found);
      plan = assemblePlan(draft, settings);
    }
    check = checks.get(proposedIndex(plan)) ?? null;
  }
  const outcome = proposedSpan(plan);
  const opposing = surfaces?.opposing ?? null;
  const room =
    surfaces === null || opposing === null || outcome === null
      ? null
      : await planRoom(
          {
            mesh: surfaces.mesh,
            labels: surfaces.labels,
            analysis,
            outcome: asOrdered(plan, outcome),
            opposing,
          },
          settings,
          subJob(control, CHECKED, ROOMED),
        );
  await control.checkpoint(ROOMED, 'trying other spaces and resistances');
  return {
    ...plan,
    reasons: [...plan.reasons, ...surfaceReasons(check), ...(room?.reasons ?? [])],
    sensitivity: planSensitivity(analysis, settings, DEFAULT_SENSITIVITY, plan),
    ...(check === null || outcome === null ? {} : { surfaceCheck: surfaceCheck(outcome, check) }),
    ...(room === null ? {} : { room }),
  };
}

function proposedIndex(plan: ClosurePlan): number {
  const span = proposedSpan(plan);
  return span === null ? -1 : plan.spans.indexOf(span);
}

/** The draft with one row as the moved crowns measure it. */
function corrected(draft: PlanDraft, index: number, check: SurfaceCheck): PlanDraft {
  const { weighed } = check;
  if (weighed === null) return draft;
  return {
    ...draft,
    weighed: draft.weighed.map((one, i) => (i === index ? weighed : one)),
    spans: draft.spans.map((one, i) => (i === index ? check.outcome : one)),
  };
}

function surfaceCheck({ from, to }: SpanOutcome, check: SurfaceCheck): PlanSurfaceCheck {
  const { met, rounds, measured, worstMissMm, deepestOverlapMm, sentence } = check;
  return { from, to, met, rounds, measured, worstMissMm, deepestOverlapMm, sentence };
}

function surfaceReasons(check: SurfaceCheck | null): Reason[] {
  if (check === null || check.weighed === null) return [];
  const code =
    check.deepestOverlapMm > CONTACT_TOLERANCE_MM
      ? 'SURFACES_OVERLAP'
      : check.met
        ? 'SURFACES_MET'
        : 'SURFACES_NOT_MET';
  return [{ code, sentence: check.sentence }];
}
