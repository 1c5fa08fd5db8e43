import type { ClosurePlan, Reason, SpanOutcome } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';

const PLAN_SCHEMA = 'archgap-plan/1';

const DEGREES = 180 / Math.PI;
/** Written to a nanometre and a millionth of a degree: exact for every use, short enough to read. */
const DECIMALS = 6;

/** The plan as JSON, schema `archgap-plan/1`: tooth numbers as ISO 3950 strings, millimetres and degrees. */
export function writePlanJson(
  plan: ClosurePlan,
  analysis: Analysis,
  meta: { readonly version: string },
): string {
  const { settings, proposal, commonPractice } = plan;
  const document = {
    schema: PLAN_SCHEMA,
    software: { name: 'archgap', version: meta.version },
    sources: analysis.sources.map((source) => ({ file_name: source.fileName, sha256: source.sha256 })),
    jaw: analysis.jaw,
    settings: {
      limit_mm: settings.limitMm,
      max_stages: settings.maxStages,
      per_stage_mm: settings.perStageMm,
      per_stage_deg: round(settings.perStageRad * DEGREES),
      expression: settings.expression,
      rotation_arm_mm: settings.rotationArmMm,
      moved: settings.moved,
      reduction: settings.reduction,
      fixed: settings.fixed.map(String),
    },
    assumptions: [...(plan.assumptions ?? [])],
    answer: plan.answer,
    proposal: proposal
      ? {
          from: String(proposal.from),
          to: String(proposal.to),
          stages: proposal.stages,
          reasons: plan.reasons.map(reason),
        }
      : null,
    reasons: plan.reasons.map(reason),
    common_practice: {
      from: commonPractice.from === null ? null : String(commonPractice.from),
      to: commonPractice.to === null ? null : String(commonPractice.to),
      agrees: commonPractice.agrees,
      sentence: commonPractice.sentence,
    },
    spans: plan.spans.map(spanObject),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function spanObject(span: SpanOutcome) {
  return {
    from: String(span.from),
    to: String(span.to),
    stages: span.stages,
    stages_needed: span.stagesNeeded,
    contacts: span.contacts.map((contact) => ({
      a: String(contact.toothA),
      b: String(contact.toothB),
      status: contact.status,
      before_mm: roundOr(contact.beforeMm),
      after_mm: round(contact.afterMm),
      inside: contact.insideSpan,
      opened: contact.opened,
    })),
    teeth: span.teeth.map((motion) => ({
      tooth: String(motion.tooth),
      mesial_mm: round(motion.mesialMm),
      buccal_mm: round(motion.buccalMm),
      rotation_deg: round(motion.rotationRad * DEGREES),
    })),
    arch: span.arch && {
      perimeter_change_mm: round(span.arch.perimeterChangeMm),
      depth_change_mm: round(span.arch.depthChangeMm),
      canine_width_change_mm: roundOr(span.arch.canineWidthChangeMm),
      molar_width_change_mm: roundOr(span.arch.molarWidthChangeMm),
      midline_shift_mm: round(span.arch.midlineShiftMm),
      largest_motion_mm: round(span.arch.largestMotionMm),
    },
    verdict: span.verdict,
    reasons: span.reasons.map(reason),
  };
}

function reason({ code, sentence }: Reason) {
  return { code, sentence };
}

function round(value: number): number {
  const result = Number(value.toFixed(DECIMALS));
  return result === 0 ? 0 : result;
}

function roundOr(value: number | null): number | null {
  return value === null ? null : round(value);
}
