import { mm, signedMm } from '../closure/wording.ts';
import type { GapEstimate } from '../contacts/types.ts';

/** What stands where there is no number. */
export const NO_NUMBER = '–';

/** The last digit that is printed. */
const LEAST_SHOWN_MM = 0.01;

/** Millimetres to two decimals for people, without the unit: `0.31`, `−0.12`; never a zero with a sign. */
export function formatMm(value: number): string {
  return mm(value);
}

/** Like {@link formatMm}, with a dash where there is no number. */
export function formatMmOr(value: number | null): string {
  return value === null ? NO_NUMBER : formatMm(value);
}

/** Expanded uncertainty to two decimals, but never `0.00`: no measurement is that good. */
export function formatU95(u95Mm: number): string {
  return Math.max(u95Mm, LEAST_SHOWN_MM).toFixed(2);
}

/** A measured space with its expanded uncertainty (k = 2): `0.31 ± 0.06 mm`. */
export function formatGap(gap: GapEstimate): string {
  return `${formatMm(gap.valueMm)} ± ${formatU95(gap.u95Mm)} mm`;
}

/** With a sign always: `+0.20`, `−0.12`, `0.00`. */
export function formatSignedMm(value: number): string {
  return signedMm(value);
}

const DEGREES_PER_RAD = 180 / Math.PI;

/** An angle in degrees to one decimal, without the unit: `0.3`, `−0.3`; never a zero with a sign. */
export function formatDegrees(rad: number): string {
  const text = (rad * DEGREES_PER_RAD).toFixed(1);
  return text === '-0.0' ? '0.0' : text.replace('-', '−');
}
