import type { Jaw } from '../../teeth/types.ts';

/**
 * Title of the tab. Scanners call every scan alike, so the jaw stands with the name: tabs of two arches can be told apart.
 *
 * @param name - of the scan that is open; null = none is
 */
export function pageTitle(name: string | null, jaw: Jaw | null): string {
  if (name === null) return 'Archgap';
  return `${jaw === null ? name : `${name}, ${jaw} jaw`} · Archgap`;
}
