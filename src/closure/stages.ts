import type { BodyMotion } from './chain-model.ts';
import { CONTACT_TOLERANCE_MM, NUMERIC_ZERO_MM, STAGE_ROUNDING } from './tolerances.ts';
import type { ClosureSettings } from './types.ts';

export interface StageCount {
  /** Stages for the whole motion. */
  readonly needed: number;
  /** Stages to order; null when more are needed than allowed. */
  readonly ordered: number | null;
  /** Share of the whole motion after `ordered` stages, or after the most allowed: 1 unless they run out. */
  readonly share: number;
  /** Which limit decides, and on which body. */
  readonly body: number | null;
  readonly by: 'motion' | 'turn';
}

/**
 * Stages that a set of motions asks for: ceil(max over the teeth of max(|d| / perStage, |theta| / perStageRad) /
 * expression). A stage can be programmed for at most the per-stage motion, and of that the expressed share happens.
 * The model is linear, so after fewer stages the teeth have made the same share of every motion.
 *
 * A motion that exceeds the most stages by so little that every space is within the contact tolerance (0.01 mm) of
 * its target after them is no reason for a new plan: the most stages are ordered, and the remainder is shown.
 *
 * @param largestChangeMm - the largest change of space that the motions make, mm
 */
export function countStages(
  motions: readonly BodyMotion[],
  largestChangeMm: number,
  settings: ClosureSettings,
): StageCount {
  let exact = 0;
  let body: number | null = null;
  let by: StageCount['by'] = 'motion';
  motions.forEach((motion, i) => {
    const travel = Math.hypot(motion.dx, motion.dy);
    if (travel > NUMERIC_ZERO_MM && travel / settings.perStageMm > exact) {
      exact = travel / settings.perStageMm;
      body = i;
      by = 'motion';
    }
    const turn = Math.abs(motion.theta);
    if (turn * settings.rotationArmMm > NUMERIC_ZERO_MM && turn / settings.perStageRad > exact) {
      exact = turn / settings.perStageRad;
      body = i;
      by = 'turn';
    }
  });
  exact /= settings.expression;
  const needed = exact === 0 ? 0 : Math.max(1, Math.ceil(exact - STAGE_ROUNDING));
  const share = needed <= settings.maxStages ? 1 : settings.maxStages / exact;
  const reached = (1 - share) * largestChangeMm <= CONTACT_TOLERANCE_MM;
  return { needed, ordered: reached ? Math.min(needed, settings.maxStages) : null, share, body, by };
}
