import type { Analysis } from '../contacts/types.ts';
import { type RigidMotion, rotationAbout } from '../geometry/rigid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add, scale } from '../geometry/vec3.ts';
import type { OcclusalFrame, ToothNumber } from '../teeth/types.ts';
import type { SpanOutcome, ToothMotion } from './types.ts';

/** The arch after some of the stages of a span. */
export interface PlayedStage {
  /** Stages done; fractions are between stages. */
  readonly stage: number;
  readonly stages: number;
  /** One per tooth of the outcome: how its crown moves from where it was scanned, scan frame, mm. */
  readonly teeth: readonly { readonly tooth: ToothNumber; readonly motion: RigidMotion }[];
  /** Space per contact, mm, counted as in the plan. */
  readonly contacts: readonly {
    readonly toothA: ToothNumber;
    readonly toothB: ToothNumber;
    readonly spaceMm: number;
  }[];
}

/**
 * The motion of a crown in the scan frame: a turn about the occlusal axis through its centre and a shift in the
 * occlusal plane.
 *
 * @param share - of the motion, 0 to 1; above 1 it is exaggerated
 */
export function crownMotion(frame: OcclusalFrame, centre: Vec3, tooth: ToothMotion, share = 1): RigidMotion {
  const shift = add(scale(frame.x, tooth.dxMm * share), scale(frame.y, tooth.dyMm * share));
  return rotationAbout(centre, frame.z, tooth.rotationRad * share, shift);
}

/** Stages that the motions of an outcome stand for: those to order, or those of the whole motion where none are. */
export function stagesShown(outcome: SpanOutcome): number {
  return outcome.stages ?? outcome.stagesNeeded ?? 0;
}

/**
 * Where every crown of the span stands after `stage` stages. Every stage makes the same share of every motion, so a
 * space closes evenly. Stages beyond the last change nothing more.
 */
export function playStage(analysis: Analysis, outcome: SpanOutcome, stage: number): PlayedStage {
  const stages = stagesShown(outcome);
  const share = stages === 0 ? 0 : Math.min(1, Math.max(0, stage / stages));
  return {
    stage: share * stages,
    stages,
    teeth: outcome.teeth.flatMap((tooth) => {
      const record = analysis.teeth.find((candidate) => candidate.tooth === tooth.tooth);
      if (!record) return [];
      return [{ tooth: tooth.tooth, motion: crownMotion(analysis.frame, record.centre, tooth, share) }];
    }),
    contacts: outcome.contacts.map((contact) => {
      const before = contact.countedMm ?? contact.beforeMm ?? 0;
      return {
        toothA: contact.toothA,
        toothB: contact.toothB,
        spaceMm: before + share * (contact.afterMm - before),
      };
    }),
  };
}
