import type { BodyMotion } from './chain-model.ts';
import { NUMERIC_ZERO_MM, STAGE_ROUNDING } from './tolerances.ts';
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
 */
export function countStages(motions: readonly BodyMotion[], settings: ClosureSettings): StageCount {
  let exact = 0;
  let body: number | null = null;
  let by: StageCount['by'] = 'motion';
  for (const [i, motion] of motions.entries()) {
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
  }
  exact /= settings.expression;
  const needed = exact === 0 ? 0 : Math.max(1, Math.ceil(exact - STAGE_ROUNDING));
  const enough = needed <= settings.maxStages;
  return {
    needed,
    ordered: enough ? needed : null,
    share: enough ? 1 : settings.maxStages / exact,
    body,
    by,
  };
}
