import { formatTooth } from '../teeth/notation.ts';
import type { ToothNumber } from '../teeth/types.ts';
import type { ClosureSettings, PlannedContact } from './types.ts';

/** A change that two decimals do not show is not worth a sentence, mm. */
export const WORTH_SAYING_MM = 0.005;

/** Millimetres to two decimals, with a minus sign that is one, without a negative zero: `0.31`, `−0.12`. */
export function mm(value: number): string {
  const text = value.toFixed(2);
  return text === '-0.00' ? '0.00' : text.replace('-', '−');
}

/** With a sign always: `+0.20`, `−0.12`, `0.00`. */
export function signedMm(value: number): string {
  const text = mm(value);
  return value > 0 && text !== '0.00' ? `+${text}` : text;
}

/** A best estimate with its expanded uncertainty: `0.31 ± 0.06 mm`. */
export function mmWithU(value: number, u95Mm: number | null): string {
  return u95Mm === null ? `${mm(value)} mm` : `${mm(value)} ± ${mm(u95Mm)} mm`;
}

/** `1 stage`, `3 stages`. */
export function stagesText(count: number): string {
  return count === 1 ? '1 stage' : `${count} stages`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listText(items: readonly string[]): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} and ${items[items.length - 1]}`;
}

/**
 * Where a space ends up: `at 0.42 mm`; where the scan gave no number and floss none either, by how much it opened:
 * `by 0.22 mm`.
 */
export function endsUpText(contact: Pick<PlannedContact, 'beforeMm' | 'countedMm' | 'afterMm'>): string {
  const unseen = contact.beforeMm === null && (contact.countedMm ?? 0) === 0;
  return `${unseen ? 'by' : 'at'} ${mm(contact.afterMm)} mm`;
}

/** Writes teeth, contacts and spans in the numbering of the settings. */
export interface ToothWords {
  tooth(tooth: ToothNumber): string;
  /** A contact by its two teeth: `13-12`. */
  pair(pair: { readonly toothA: ToothNumber; readonly toothB: ToothNumber }): string;
  /** A span by its two ends: `17 to 27`. */
  span(ends: { readonly from: ToothNumber; readonly to: ToothNumber }): string;
}

export function toothWords(settings: ClosureSettings): ToothWords {
  const scheme = settings.numbering ?? 'iso';
  const tooth = (number: ToothNumber): string => formatTooth(number, scheme);
  return {
    tooth,
    pair: ({ toothA, toothB }) => `${tooth(toothA)}-${tooth(toothB)}`,
    span: ({ from, to }) => `${tooth(from)} to ${tooth(to)}`,
  };
}
