import type { ScanWarning } from '../scan/scan-warnings.ts';
import type { ArchAlignment } from '../teeth/align-arch.ts';
import type { ToothNumber } from '../teeth/types.ts';
import type { Analysis } from './types.ts';

type ClickedTeeth = Pick<Analysis, 'teeth' | 'missing'>;

/**
 * Teeth that were clicked on one of two scans and on the other neither clicked nor marked missing: their contacts are
 * not compared, and without a word that would look like an extraction. Those that were not found on the new scan by
 * their crowns are left to `TOOTH_NOT_SEEN`.
 */
export function clickedOnceWarnings(
  earlier: ClickedTeeth,
  later: ClickedTeeth,
  alignment: ArchAlignment | null,
): ScanWarning[] {
  const toldOf = (alignment?.teeth ?? [])
    .filter(({ sighting }) => sighting === 'not-seen')
    .map(({ tooth }) => tooth);
  const lost = unsaid(earlier, later).filter((tooth) => !toldOf.includes(tooth));
  const added = unsaid(later, earlier);
  return [
    ...(lost.length === 0
      ? []
      : [
          {
            code: 'CLICKED_ON_EARLIER_ONLY',
            sentence: `${teethAre(lost)} clicked on the earlier scan and neither clicked nor marked missing on the new one, so their contacts are not compared; click them on the new scan, or mark them missing.`,
            teeth: lost,
          },
        ]),
    ...(added.length === 0
      ? []
      : [
          {
            code: 'CLICKED_ON_NEW_ONLY',
            sentence: `${teethAre(added)} clicked on the new scan and neither clicked nor marked missing on the earlier one, so their contacts have none to be compared with; measure the earlier scan again with them, or leave it at that.`,
            teeth: added,
          },
        ]),
  ];
}

function unsaid(one: ClickedTeeth, other: ClickedTeeth): ToothNumber[] {
  const said = new Set([...other.teeth.map(({ tooth }) => tooth), ...other.missing]);
  return one.teeth.map(({ tooth }) => tooth).filter((tooth) => !said.has(tooth));
}

function teethAre(teeth: readonly ToothNumber[]): string {
  return teeth.length === 1 ? `Tooth ${teeth[0]} is` : `Teeth ${teeth.join(', ')} are`;
}
