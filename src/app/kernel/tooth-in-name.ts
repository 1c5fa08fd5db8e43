import { isToothNumber, jawOf } from '../../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../../teeth/types.ts';

/** Days in a name: they say nothing of a tooth. */
const DAYS = /\d{4}[-_.]\d\d?[-_.]\d\d?|\d\d?[-_.]\d\d?[-_.]\d{4}/g;

/**
 * The ISO 3950 number that a file is named after, such as `crown_24.stl` or `11.stl`; null where there is none, or more
 * than one. Days (2026-11-05, 05.11.2026, 20261105) are passed over. It is a proposal: the page shows it in a field that can be changed.
 *
 * @param jaw - only numbers of this jaw; null = of both
 */
export function toothInName(name: string, jaw: Jaw | null): ToothNumber | null {
  const found = new Set<ToothNumber>();
  const plain = name.replace(/\.[^.]*$/, '').replace(DAYS, ' ');
  for (const [text] of plain.matchAll(/(?<!\d)\d\d(?!\d)/g)) {
    const number = Number(text);
    if (isToothNumber(number) && (jaw === null || jawOf(number) === jaw)) found.add(number);
  }
  const [only] = found;
  return found.size === 1 ? (only ?? null) : null;
}

/** Whether a name bears any number that is no day: of files without one, several crowns may be called alike. */
export function bearsNumber(name: string): boolean {
  return /\d/.test(name.replace(/\.[^.]*$/, '').replace(DAYS, ' '));
}
