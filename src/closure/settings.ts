import { usageError } from '../geometry/archgap-error.ts';
import { isToothNumber } from '../teeth/notation.ts';
import type { ClosureSettings } from './types.ts';

/**
 * Where nothing else is said. Each is the user's to change.
 * - limit 0.10 mm: method, section 4.
 * - at most 3 stages: common practice; two or three are customary and often one is enough (no study; facts 7.23).
 * - 0.25 mm per stage: common practice (facts 7.12, from memory).
 * - 1.2 degrees per stage: Cortona et al., Angle Orthod 90:247, 2020 (facts 7.11).
 * - expression 0.8: about a fifth more has to be prescribed than is achieved (Palone et al., Angle Orthod 93:11,
 *   2023; facts 7.17). Published expression runs from 0.55 to 0.87 by movement (facts 7.10, 7.13, 7.15).
 * - rotation arm 4 mm: our choice, about half a crown's width.
 */
export const DEFAULT_CLOSURE_SETTINGS: ClosureSettings = {
  limitMm: 0.1,
  maxStages: 3,
  perStageMm: 0.25,
  perStageRad: (1.2 * Math.PI) / 180,
  expression: 0.8,
  rotationArmMm: 4,
  moved: null,
  reduction: null,
  fixed: [],
};

/**
 * Refuses settings that no plan can be made with.
 *
 * @throws ArchgapError `PLAN_SETTING`
 */
export function checkClosureSettings(settings: ClosureSettings): void {
  const refuse = (name: string, found: unknown, expected: string): never => {
    throw usageError('PLAN_SETTING', `${name} is ${String(found)}; expected ${expected}.`, {
      details: { setting: name },
    });
  };
  const positive = (name: string, value: number, unit: string): void => {
    if (!(Number.isFinite(value) && value > 0)) refuse(name, value, `a number of ${unit} greater than zero`);
  };
  if (!(Number.isFinite(settings.limitMm) && settings.limitMm >= 0)) {
    refuse('The limit', settings.limitMm, 'a number of millimetres, zero or more');
  }
  if (!(Number.isInteger(settings.maxStages) && settings.maxStages >= 1)) {
    refuse('The most stages', settings.maxStages, 'a whole number, one or more');
  }
  positive('The largest motion per stage', settings.perStageMm, 'millimetres');
  positive('The largest turn per stage', settings.perStageRad, 'radians');
  positive('The rotation arm', settings.rotationArmMm, 'millimetres');
  if (!(settings.expression > 0 && settings.expression <= 1)) {
    refuse('The expression', settings.expression, 'a share above 0 and up to 1');
  }
  const odd = settings.fixed.find((tooth) => !isToothNumber(tooth));
  if (odd !== undefined) refuse('A fixed tooth', odd, 'an ISO 3950 number');
  for (const target of settings.targets ?? []) {
    if (!(Number.isFinite(target.targetMm) && target.targetMm <= 0)) {
      refuse(
        `The target at ${target.toothA}-${target.toothB}`,
        target.targetMm,
        'zero, or a negative number of millimetres for over-closure',
      );
    }
  }
  for (const floss of settings.floss ?? []) {
    const space = floss.spaceMm ?? null;
    if (space !== null && !(Number.isFinite(space) && space > 0)) {
      refuse(
        `The strip at ${floss.toothA}-${floss.toothB}`,
        space,
        'a thickness in millimetres greater than zero',
      );
    }
  }
}
