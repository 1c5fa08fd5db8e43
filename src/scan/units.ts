import type { LengthUnit } from './types.ts';

/** Millimetres in one unit of length; the inch is 25.4 mm exactly (international yard and pound agreement, 1959). */
export const MM_PER_UNIT: Readonly<Record<LengthUnit, number>> = { mm: 1, cm: 10, m: 1000, in: 25.4 };

/** The unit in words, plural, for sentences. */
export const UNIT_NAMES: Readonly<Record<LengthUnit, string>> = {
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
};
