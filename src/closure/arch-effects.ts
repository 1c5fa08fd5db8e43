import type { ArchModel } from './arch-model.ts';
import type { BodyMotion } from './chain-model.ts';
import type { ArchEffects } from './types.ts';

/** Canines and first molars: where arch widths are usually taken. */
const CANINE = 3;
const FIRST_MOLAR = 6;

/**
 * What a set of motions does to the arch as a whole.
 * - perimeter: the sum of all changes of space, opened ones counted against closed ones;
 * - depth: the teeth beside the midline against the line through the last tooth of each side, front positive;
 * - widths: between the canines, and between the first molars, where both stand;
 * - midline: sideways motion of the teeth beside the midline, to the patient's left positive.
 *
 * @param motions - one per tooth of the model
 * @param changes - change of space per contact of the model, mm
 */
export function archEffects(
  model: ArchModel,
  motions: readonly BodyMotion[],
  changes: readonly number[],
): ArchEffects {
  const { teeth } = model;
  const leftward = leftwardOf(model);
  const front = frontTeeth(model);
  const rear = [0, teeth.length - 1].filter((index) => !front.includes(index));
  const mean = (indices: readonly number[], part: (motion: BodyMotion) => number): number =>
    indices.length === 0 ? 0 : indices.reduce((sum, i) => sum + part(motions[i]!), 0) / indices.length;
  const width = (digit: number): number | null => {
    const right = teeth.findIndex((tooth) => tooth.side === 'right' && tooth.digit === digit);
    const left = teeth.findIndex((tooth) => tooth.side === 'left' && tooth.digit === digit);
    if (right < 0 || left < 0) return null;
    const sign = Math.sign(teeth[left]!.centre[0] - teeth[right]!.centre[0]);
    return sign * (motions[left]!.dx - motions[right]!.dx);
  };
  return {
    perimeterChangeMm: changes.reduce((sum, change) => sum + change, 0),
    depthChangeMm: mean(front, (m) => m.dy) - mean(rear, (m) => m.dy),
    canineWidthChangeMm: width(CANINE),
    molarWidthChangeMm: width(FIRST_MOLAR),
    midlineShiftMm: leftward * mean(front, (m) => m.dx),
    largestMotionMm: motions.reduce((most, m) => Math.max(most, Math.hypot(m.dx, m.dy)), 0),
  };
}

/** The two teeth beside the midline; on a one-sided arch the one nearest to it. */
function frontTeeth(model: ArchModel): readonly number[] {
  const k = model.midlineContact;
  if (k !== null) return [k, k + 1];
  if (model.teeth.length === 0) return [];
  return [model.teeth[0]!.side === 'right' ? model.teeth.length - 1 : 0];
}

/** +1 when x of the frame runs to the patient's left. */
function leftwardOf(model: ArchModel): number {
  const k = model.midlineContact;
  if (k === null) return 1;
  return model.teeth[k + 1]!.centre[0] >= model.teeth[k]!.centre[0] ? 1 : -1;
}
