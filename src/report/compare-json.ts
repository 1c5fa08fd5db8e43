import type { ContactChange } from '../contacts/compare-contacts.ts';
import type { FollowUp } from '../contacts/follow-up.ts';
import type { Analysis, Contact, Difference } from '../contacts/types.ts';
import { movePoint, type RigidMotion, rotateDirection, turnAngle } from '../geometry/rigid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add, dot, sub } from '../geometry/vec3.ts';
import { type ArchAlignment, ownMotion, type ToothAlignment } from '../teeth/align-arch.ts';
import { sourceToJson } from './scan-facts-json.ts';
import { warningJson } from './warning-json.ts';

const COMPARE_SCHEMA = 'archgap-compare/1';
const DEGREES = 180 / Math.PI;
const DECIMALS = 6;

/**
 * The comparison as JSON, schema `archgap-compare/1`: tooth numbers as ISO 3950 strings; motions take coordinates of the
 * earlier file (mm) to those of the new file (mm).
 */
export function writeCompareJson(
  earlier: Analysis,
  followUp: Pick<FollowUp, 'analysis' | 'alignment' | 'changes' | 'warnings'>,
  meta: { readonly version: string; readonly planned: boolean },
): string {
  const { analysis, alignment, changes, warnings } = followUp;
  const document = {
    schema: COMPARE_SCHEMA,
    software: { name: 'archgap', version: meta.version },
    jaw: analysis.jaw,
    limit_mm: analysis.settings.limitMm,
    earlier: { sources: earlier.sources.map(sourceToJson) },
    new: { sources: analysis.sources.map(sourceToJson) },
    plan_read: meta.planned,
    alignment: alignment && alignmentObject(alignment, earlier, analysis),
    contacts: changes.map(changeObject),
    warnings: [...warnings, ...analysis.warnings].map(warningJson),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function alignmentObject(alignment: ArchAlignment, earlier: Analysis, later: Analysis) {
  return {
    median_offset_mm: round(alignment.medianOffsetMm),
    recognised: alignment.teeth.filter(({ sighting }) => sighting === 'recognised').length,
    motion: motionObject(alignment.motion, earlier.originMm, later.originMm),
    teeth: alignment.teeth.map((tooth) => ({
      tooth: String(tooth.tooth),
      sighting: tooth.sighting,
      near_share: round(tooth.nearShare),
      median_offset_mm: tooth.medianOffsetMm === null ? null : round(tooth.medianOffsetMm),
      motion: motionObject(tooth.motion, earlier.originMm, later.originMm),
      own_motion: tooth.sighting === 'recognised' ? ownMotionObject(alignment, tooth, earlier) : null,
    })),
  };
}

/** The motion between coordinates of the files. */
function motionObject(motion: RigidMotion, from: Vec3, to: Vec3) {
  const shift = sub(add(motion.translation, to), rotateDirection(motion, from));
  return { rotation: [...motion.rotation], translation_mm: shift.map(round) };
}

/** How a tooth moved against the arch as a whole, in the earlier occlusal frame. */
export function toothShift(
  alignment: ArchAlignment,
  tooth: ToothAlignment,
  earlier: Analysis,
): { readonly leftMm: number; readonly frontMm: number; readonly upMm: number; readonly turnRad: number } {
  const motion = ownMotion(alignment, tooth);
  const centre = earlier.teeth.find((record) => record.tooth === tooth.tooth)?.centre ?? earlier.frame.origin;
  const d = sub(movePoint(motion, centre), centre);
  const { x, y, z } = earlier.frame;
  return {
    leftMm: dot(d, x),
    frontMm: dot(d, y),
    upMm: dot(d, z),
    turnRad: turnAngle(motion),
  };
}

function ownMotionObject(alignment: ArchAlignment, tooth: ToothAlignment, earlier: Analysis) {
  const { leftMm, frontMm, upMm, turnRad } = toothShift(alignment, tooth, earlier);
  return {
    left_mm: round(leftMm),
    front_mm: round(frontMm),
    occlusal_mm: round(upMm),
    turn_deg: round(turnRad * DEGREES),
  };
}

function changeObject(change: ContactChange) {
  const { carried, plan } = change;
  return {
    tooth_a: String(change.toothA),
    tooth_b: String(change.toothB),
    change: change.kind,
    before: change.before && stateObject(change.before),
    after: change.after && stateObject(change.after),
    difference: change.change && differenceObject(change.change),
    range_mm: change.rangeMm === null ? null : change.rangeMm.map(round),
    approach: change.approach && differenceObject(change.approach),
    carried: carried && { scan: carried.scan, ...differenceObject(carried.space) },
    plan: plan && {
      planned_mm: round(plan.afterMm),
      standing: plan.standing,
      expressed_share: plan.expressed && round(plan.expressed.share),
      expressed_u95: plan.expressed && round(plan.expressed.u95),
    },
    notes: [...change.notes],
  };
}

function stateObject({ status, gap, upperBoundMm }: Contact) {
  return {
    status,
    gap_mm: gap && round(gap.valueMm),
    gap_u95_mm: gap && round(gap.u95Mm),
    upper_bound_mm: upperBoundMm === null ? null : round(upperBoundMm),
  };
}

function differenceObject({ valueMm, u95Mm }: Difference) {
  return { value_mm: round(valueMm), u95_mm: round(u95Mm) };
}

function round(value: number): number {
  const result = Number(value.toFixed(DECIMALS));
  return result === 0 ? 0 : result;
}
