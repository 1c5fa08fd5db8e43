import { movePoint } from '../geometry/rigid.ts';
import { distance } from '../geometry/vec3.ts';
import type { ScanWarning } from '../scan/scan-warnings.ts';
import type { ArchAlignment } from '../teeth/align-arch.ts';
import type { ToothNumber } from '../teeth/types.ts';
import type { Analysis } from './types.ts';

/**
 * The middles of one crown on two scans lie nearer together than this once its motion is taken off, mm. Of 316
 * crowns in 25 pairs of scans (docs/validation.md, a later scan) they lay at most 0.8 mm apart, those of two teeth at
 * least 4.0 mm (crowded lower incisors).
 */
const SAME_CROWN_MM = 2;

/**
 * Crowns that bear another number on the new scan than on the earlier one. Contacts are compared by number, so those of
 * different teeth would be held against each other without a word.
 *
 * @param alignment - of the earlier scan on the new one; null: nothing is known of which crown is which
 */
export function numberedOtherwiseWarnings(
  earlier: Pick<Analysis, 'teeth'>,
  later: Pick<Analysis, 'teeth'>,
  alignment: ArchAlignment | null,
): ScanWarning[] {
  const otherwise: (readonly [ToothNumber, ToothNumber])[] = [];
  for (const { tooth, sighting, motion } of alignment?.teeth ?? []) {
    const before = earlier.teeth.find((record) => record.tooth === tooth);
    if (before === undefined || sighting !== 'recognised') continue;
    const place = movePoint(motion, before.centre);
    const after = later.teeth.find(({ centre }) => distance(centre, place) < SAME_CROWN_MM);
    if (after !== undefined && after.tooth !== tooth) otherwise.push([tooth, after.tooth]);
  }
  if (otherwise.length === 0) return [];
  const pairs = otherwise.map(([was, is]) => `${was} is ${is} there`).join(', ');
  return [
    {
      code: 'NUMBERED_OTHERWISE',
      sentence: `By their shapes these crowns of the earlier scan bear other numbers on the new one: ${pairs}. Contacts are compared by number, so those of different teeth are held against each other; put the numbers of one of the two scans right.`,
      teeth: [...new Set(otherwise.flat())],
    },
  ];
}
