import type { Departure } from '../closure/practice.ts';
import type {
  ClosurePlan,
  ClosureSensitivity,
  PlanRoom,
  PlanSurfaceCheck,
  Reason,
  SensitivityOutcome,
  SpanOutcome,
} from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { countedFrom } from './plan-csv.ts';

const PLAN_SCHEMA = 'archgap-plan/1';

const DEGREES = 180 / Math.PI;
/** Written to a nanometre and a millionth of a degree: exact for every use, short enough to read. */
const DECIMALS = 6;

/** How the file names what a practice has a word in. */
const SETTING_NAMES: Readonly<Record<Departure['setting'], string>> = {
  limitMm: 'limit_mm',
  maxStages: 'max_stages',
  perStageMm: 'per_stage_mm',
  perStageRad: 'per_stage_deg',
  expression: 'expression',
  spanRule: 'span_rule',
};

/**
 * The plan as JSON, schema `archgap-plan/1`: tooth numbers as ISO 3950 strings, millimetres and degrees.
 *
 * @param meta - the version of the software; SHA-256 of the result.json that was planned, null where there is none;
 *   where the case departs from the practice, null or absent without one
 */
export function writePlanJson(
  plan: ClosurePlan,
  analysis: Analysis,
  meta: {
    readonly version: string;
    readonly resultSha256: string | null;
    readonly departures?: readonly Departure[] | null;
  },
): string {
  const { settings, proposal, commonPractice } = plan;
  const document = {
    schema: PLAN_SCHEMA,
    software: { name: 'archgap', version: meta.version },
    sources: analysis.sources.map((source) => ({ file_name: source.fileName, sha256: source.sha256 })),
    result_sha256: meta.resultSha256,
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
      span_rule: settings.spanRule ?? 'shortest',
      floss: (settings.floss ?? []).map((found) => ({
        ...ends(found),
        finding: found.finding,
        space_mm: roundOr(found.spaceMm ?? null),
      })),
      targets: (settings.targets ?? []).map((target) => ({
        ...ends(target),
        target_mm: round(target.targetMm),
      })),
    },
    practice: meta.departures
      ? {
          departures: meta.departures.map(({ setting, text }) => ({
            setting: SETTING_NAMES[setting],
            sentence: text,
          })),
        }
      : null,
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
    sensitivity: plan.sensitivity ? sensitivityObject(plan.sensitivity) : null,
    surface_check: plan.surfaceCheck ? surfaceObject(plan.surfaceCheck) : null,
    room: plan.room ? roomObject(plan.room) : null,
    spans: plan.spans.map(spanObject),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function ends(pair: { readonly toothA: ToothNumber; readonly toothB: ToothNumber }) {
  return { a: String(pair.toothA), b: String(pair.toothB) };
}

function sensitivityObject(found: ClosureSensitivity) {
  return {
    verdict: found.verdict,
    draws: found.draws,
    same_span_share: round(found.sameSpanShare),
    same_stages_share: round(found.sameStagesShare),
    stages_range: found.stagesRange && [...found.stagesRange],
    outcomes: found.outcomes.map(outcomeObject),
    hidden: found.hidden && {
      contacts: found.hidden.contacts,
      same_span_share: round(found.hidden.sameSpanShare),
      outcomes: found.hidden.outcomes.map(outcomeObject),
    },
    untried: found.untried,
    depends_on: found.dependsOn.map((input) =>
      input.kind === 'resistance'
        ? { kind: input.kind, tooth: String(input.tooth) }
        : { kind: input.kind, ...ends(input) },
    ),
    sentence: found.sentence,
  };
}

function outcomeObject(outcome: SensitivityOutcome) {
  return {
    answer: outcome.answer,
    from: outcome.from === null ? null : String(outcome.from),
    to: outcome.to === null ? null : String(outcome.to),
    share: round(outcome.share),
  };
}

function surfaceObject(check: PlanSurfaceCheck) {
  return {
    from: String(check.from),
    to: String(check.to),
    met: check.met,
    rounds: check.rounds,
    worst_miss_mm: round(check.worstMissMm),
    deepest_overlap_mm: round(check.deepestOverlapMm),
    measured: check.measured.map((contact) => ({
      ...ends(contact),
      rest_mm: round(contact.restMm),
      after_mm: round(contact.afterMm),
    })),
    sentence: check.sentence,
  };
}

function roomObject(room: PlanRoom) {
  return {
    from: String(room.from),
    to: String(room.to),
    opposing: room.opposing,
    teeth: room.teeth.map((tooth) => ({
      tooth: String(tooth.tooth),
      motion_mm: round(tooth.motionMm),
      free_path_mm: roundOr(tooth.freePathMm),
      room_mm: roundOr(tooth.roomMm),
    })),
    reasons: room.reasons.map(reason),
  };
}

function spanObject(span: SpanOutcome) {
  return {
    from: String(span.from),
    to: String(span.to),
    stages: span.stages,
    stages_needed: span.stagesNeeded,
    shown_share: round(span.shownShare ?? 1),
    max_stages_share: roundOr(span.maxStagesShare ?? null),
    contacts: span.contacts.map((contact) => ({
      a: String(contact.toothA),
      b: String(contact.toothB),
      status: contact.status,
      before_mm: roundOr(contact.beforeMm),
      after_mm: round(contact.afterMm),
      counted_from: countedFrom(contact),
      counted_mm: round(contact.countedMm ?? contact.beforeMm ?? 0),
      after_max_stages_mm: roundOr(contact.afterMaxStagesMm ?? null),
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
