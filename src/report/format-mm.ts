import type { GapEstimate } from '../contacts/types.ts';

/** What stands where there is no number. */
export const NO_NUMBER = '–';

/** Millimetres to two decimals, without the unit: `0.31`, `-0.12`; never `-0.00`. */
export function formatMm(value: number): string {
  const text = value.toFixed(2);
  return text === '-0.00' ? '0.00' : text;
}

/** Like {@link formatMm}, with a dash where there is no number. */
export function formatMmOr(value: number | null): string {
  return value === null ? NO_NUMBER : formatMm(value);
}

/**
 * Expanded uncertainty to two decimals, rounded up: printing less than was found would claim too much
 * (JCGM 100:2008, 7.2.6 allows rounding up).
 */
export function formatU95(u95Mm: number): string {
  return (Math.ceil(Number((u95Mm * 100).toFixed(6))) / 100).toFixed(2);
}

/** A measured space with its expanded uncertainty (k = 2): `0.31 ± 0.06 mm`. */
export function formatGap(gap: GapEstimate): string {
  return `${formatMm(gap.valueMm)} ± ${formatU95(gap.u95Mm)} mm`;
}

/** With a sign always: `+0.20`, `-0.12`, `0.00`. */
export function formatSignedMm(value: number): string {
  const text = formatMm(value);
  return value > 0 && text !== '0.00' ? `+${text}` : text;
}
