import { isToothNumber, jawOf } from '../../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../../teeth/types.ts';

/**
 * The ISO 3950 number that a file is named after, such as `crown_24.stl` or `11.stl`; null where there is none, or more
 * than one. It is a proposal: the page shows it in a field that can be changed.
 *
 * @param jaw - only numbers of this jaw; null = of both
 */
export function toothInName(name: string, jaw: Jaw | null): ToothNumber | null {
  const found = new Set<ToothNumber>();
  for (const [text] of name.replace(/\.[^.]*$/, '').matchAll(/(?<!\d)\d\d(?!\d)/g)) {
    const number = Number(text);
    if (isToothNumber(number) && (jaw === null || jawOf(number) === jaw)) found.add(number);
  }
  const [only] = found;
  return found.size === 1 ? (only ?? null) : null;
}
