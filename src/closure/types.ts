import type { ContactStatus } from '../contacts/types.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';

/**
 * Which spans may be proposed. `shortest`: the shortest that closes everything; `widens-nothing`: the shortest that
 * closes everything and widens no contact; `terminal-molars`: only from the last tooth to the last tooth.
 */
export type SpanRule = 'shortest' | 'widens-nothing' | 'terminal-molars';

export type ArchPart = 'anterior' | 'posterior' | 'none';

/**
 * What floss or a strip said at one contact. The plan uses it where the scan could not decide (`undecided`,
 * `bridged`, `not-measurable`); where the scan did decide, a finding that disagrees is told, not used.
 */
export interface FlossFinding {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** `open`: passes without resistance; `closed`: holds. */
  readonly finding: 'open' | 'closed';
  /** Thickness of the strip that passed, mm, where one was used. */
  readonly spaceMm?: number | null;
  /** Day of the finding, `YYYY-MM-DD`; for the record, the plan does not read it. */
  readonly foundOn?: string | null;
}

/**
 * A space to draw a contact to. Zero for every contact that is not named. Below zero is over-closure: more motion
 * is programmed than the space asks for, so that the teeth still press when part of it is not expressed.
 */
interface ContactTarget {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly targetMm: number;
}

export interface ClosureSettings {
  readonly limitMm: number;
  readonly maxStages: number;
  /** Largest motion one stage may ask for. */
  readonly perStageMm: number;
  readonly perStageRad: number;
  /** Share of the programmed motion that is expressed, 0 to 1. */
  readonly expression: number;
  /** Length that weighs rotation against translation, mm. */
  readonly rotationArmMm: number;
  /** Where movements were made, where enamel was reduced; null = not said. For the trade's rule of thumb only. */
  readonly moved: ArchPart | null;
  readonly reduction: ArchPart | null;
  readonly fixed: readonly ToothNumber[];
  /** What floss or a strip said, per contact; none unless given. */
  readonly floss?: readonly FlossFinding[];
  /** Over-closure, per contact; none unless given. */
  readonly targets?: readonly ContactTarget[];
  /** Which spans may be proposed; `shortest` unless given. */
  readonly spanRule?: SpanRule;
  /** How sentences write tooth numbers; ISO 3950 unless given. */
  readonly numbering?: NumberingScheme;
}

/** A sentence with a stable code. */
export interface Reason {
  readonly code: string;
  readonly sentence: string;
}

/** Code of the reason that a proposal closes what was measured and may open a contact that was not. */
export const CLOSES_WHAT_IS_SEEN = 'CLOSES_WHAT_IS_SEEN';

export interface PlannedContact {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly status: ContactStatus;
  /** Measured space before, mm; null when the scan gives no number (then the model counts from zero). */
  readonly beforeMm: number | null;
  /**
   * Space by the model after the stages to order, mm; counted from zero where `beforeMm` is null. Where a span needs
   * more stages than the most allowed (`stages` null): after the whole motion.
   */
  readonly afterMm: number;
  /** Space after the most stages allowed, mm, where the whole motion needs more; else null. */
  readonly afterMaxStagesMm?: number | null;
  readonly insideSpan: boolean;
  /** The stages open this contact: it was not open before and exceeds the limit, or grew by more than 0.01 mm. */
  readonly opened: boolean;
  /** What the model counted from, mm: differs from `beforeMm` only where there is none, or where floss spoke. */
  readonly countedMm?: number;
  /** Space after the whole motion, were there no limit to the stages, mm. */
  readonly afterWholeMotionMm?: number;
  /** Chain tension at this contact, root surface (mm2) times mm: positive draws together; null outside the span. */
  readonly tension?: number | null;
  readonly floss?: 'open' | 'closed' | null;
}

export interface ToothMotion {
  readonly tooth: ToothNumber;
  /** Towards the midline along the arch, mm. */
  readonly mesialMm: number;
  /** Towards the cheek or lip, mm. */
  readonly buccalMm: number;
  /** About the occlusal axis, counter-clockwise seen from the crowns' tops, rad. */
  readonly rotationRad: number;
  /** The same motion in the occlusal frame (x left, y front), mm: what the view plays. */
  readonly dxMm: number;
  readonly dyMm: number;
}

export interface ArchEffects {
  readonly perimeterChangeMm: number;
  readonly depthChangeMm: number;
  readonly canineWidthChangeMm: number | null;
  readonly molarWidthChangeMm: number | null;
  /** Towards the patient's left positive. */
  readonly midlineShiftMm: number;
  readonly largestMotionMm: number;
}

export type SpanVerdict =
  | 'closes-all'
  | 'leaves-open'
  | 'opens-others'
  | 'too-many-stages'
  | 'infeasible'
  | 'nothing-to-close';

export interface SpanOutcome {
  readonly from: ToothNumber;
  readonly to: ToothNumber;
  /** Stages to order; null when more than the most allowed, or infeasible. */
  readonly stages: number | null;
  /** Stages that the whole motion would need, also when more than allowed; null when infeasible. */
  readonly stagesNeeded: number | null;
  readonly contacts: readonly PlannedContact[];
  readonly teeth: readonly ToothMotion[];
  readonly arch: ArchEffects | null;
  readonly verdict: SpanVerdict;
  readonly reasons: readonly Reason[];
  /**
   * Share of the whole motion that `afterMm`, `teeth` and `arch` show: below 1 only where the most stages are ordered
   * although the whole motion would need more.
   */
  readonly shownShare?: number;
  /** Share of the whole motion after the most stages allowed, where that needs more; else null. */
  readonly maxStagesShare?: number | null;
}

export type PlanAnswer =
  | 'tighten'
  | 'none-needed'
  | 'floss-first'
  | 'not-enough'
  | 'new-plan'
  | 'not-by-tightening';

export interface CommonPractice {
  readonly from: ToothNumber | null;
  readonly to: ToothNumber | null;
  readonly agrees: boolean | null;
  readonly sentence: string;
}

export interface ClosurePlan {
  readonly settings: ClosureSettings;
  readonly spans: readonly SpanOutcome[];
  readonly answer: PlanAnswer;
  /** The proposed stages; null for every answer but `tighten` and `not-enough`. */
  readonly proposal: { readonly from: ToothNumber; readonly to: ToothNumber; readonly stages: number } | null;
  readonly reasons: readonly Reason[];
  readonly commonPractice: CommonPractice;
  /** What the numbers rest on, as sentences with sources; custom and memory are marked. */
  readonly assumptions?: readonly string[];
  /** How the proposal changes with its inputs; absent until it was worked out. */
  readonly sensitivity?: ClosureSensitivity;
  /** What the moved crowns measure over the proposed span; absent where they were not measured. */
  readonly surfaceCheck?: PlanSurfaceCheck;
  /** Room against the opposing arch; absent without an opposing scan or a proposal. */
  readonly room?: PlanRoom;
  /** Contacts that the scan leaves unsettled and that floss should check, right to left. */
  readonly toCheck?: readonly { readonly toothA: ToothNumber; readonly toothB: ToothNumber }[];
}

/** The proposed span measured on moved crowns. */
export interface PlanSurfaceCheck {
  readonly from: ToothNumber;
  readonly to: ToothNumber;
  /** Every measured contact inside the span within 0.01 mm of its target, and none overlapping by more than that. */
  readonly met: boolean;
  readonly rounds: number;
  readonly measured: readonly {
    readonly toothA: ToothNumber;
    readonly toothB: ToothNumber;
    /** Between the surfaces as scanned, mm: differs from the measured space by the bias of a mesh minimum. */
    readonly restMm: number;
    readonly afterMm: number;
  }[];
  readonly worstMissMm: number;
  readonly deepestOverlapMm: number;
  readonly sentence: string;
}

/** What lies in the way of one tooth that a span moves. */
export interface ToothRoom {
  readonly tooth: ToothNumber;
  /** Motion of the tooth's centre, mm. */
  readonly motionMm: number;
  /** Shortest way from the crown along its motion to the opposing arch, mm; null when nothing lies within 5 mm. */
  readonly freePathMm: number | null;
  /** Free path less motion, mm: below zero the tooth runs into the opposing arch. Null like `freePathMm`. */
  readonly roomMm: number | null;
}

/** Room of the proposed span against the opposing arch. */
export interface PlanRoom {
  readonly from: ToothNumber;
  readonly to: ToothNumber;
  /** File name of the opposing scan. */
  readonly opposing: string;
  /** One per tooth that moves; empty where the opposing scan is not in this frame, or not as it bites. */
  readonly teeth: readonly ToothRoom[];
  readonly reasons: readonly Reason[];
}

/** One input that the proposal hangs on. */
export type SensitiveInput =
  | { readonly kind: 'space' | 'hidden'; readonly toothA: ToothNumber; readonly toothB: ToothNumber }
  | { readonly kind: 'resistance'; readonly tooth: ToothNumber };

/** One proposal that came out of the draws. */
export interface SensitivityOutcome {
  readonly answer: PlanAnswer;
  readonly from: ToothNumber | null;
  readonly to: ToothNumber | null;
  /** Draws with this answer and span, 0 to 1. */
  readonly share: number;
}

/** The same draws, with a space hidden at every contact that was not seen: drawn between nothing and its bound. */
interface HiddenSensitivity {
  /** Contacts that were drawn so: bridged or not measurable, with a bound, not settled by floss. */
  readonly contacts: number;
  /** Draws with the same answer and span as the plan, 0 to 1. */
  readonly sameSpanShare: number;
  /** Commonest first. */
  readonly outcomes: readonly SensitivityOutcome[];
}

/**
 * How the proposal changes when the spaces move within their intervals and the resistances vary, and what the contacts
 * that were not seen could change.
 */
export interface ClosureSensitivity {
  /**
   * `robust`: the same span is proposed in 95 % of the draws, also with spaces hidden where none was seen, every
   * contact could be tried, and no tooth was left without a click or the word that it is missing.
   */
  readonly verdict: 'robust' | 'depends';
  readonly draws: number;
  /** Draws with the same answer and span as the plan, 0 to 1. */
  readonly sameSpanShare: number;
  /** Draws that also ask for the same number of stages, 0 to 1. */
  readonly sameStagesShare: number;
  /** Fewest and most stages among the draws that keep the span; null when it proposes none. */
  readonly stagesRange: readonly [number, number] | null;
  /** Commonest first. */
  readonly outcomes: readonly SensitivityOutcome[];
  /** Strongest first, those of the measured draws before the hidden ones; empty when robust. */
  readonly dependsOn: readonly SensitiveInput[];
  /** Null where every contact was seen, or settled by floss. */
  readonly hidden: HiddenSensitivity | null;
  /** Contacts that were neither seen nor settled by floss and have no bound: nothing could be drawn for them. */
  readonly untried: number;
  readonly sentence: string;
}
