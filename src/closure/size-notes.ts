import { archIndices } from '../contacts/arch-indices.ts';
import { BOLTON_MEANS, type BoltonRatio, boltonRatios } from '../contacts/bolton.ts';
import type { Analysis } from '../contacts/types.ts';
import type { Reason } from './types.ts';
import { mmWithU } from './wording.ts';

/** Deviations from Bolton's mean that are called potentially significant (Freeman 1996; facts 5.4). */
const SIGNIFICANT_SD = 2;

/** From this index on (moderate; Little 1975, classes as in `archIndices`) contact points stand beside each other. */
const IRREGULAR_MM = 3.5;

const RATIO_NAMES: Readonly<Record<BoltonRatio['kind'], string>> = {
  overall: 'overall ratio (6 to 6)',
  anterior: 'anterior ratio (3 to 3)',
};

/**
 * Why spaces may stay although they are drawn together, or come back: tooth widths that do not fit those of the opposing
 * arch, and contact points that stand beside each other.
 *
 * @param opposing - the measured opposing arch; null when it is not at hand, then nothing is said about widths
 * @throws ArchgapError `BOLTON_JAWS` when both are of one jaw
 */
export function sizeNotes(analysis: Analysis, opposing: Analysis | null): Reason[] {
  return [...(opposing === null ? [] : boltonNotes(analysis, opposing)), ...irregularityNote(analysis)];
}

function boltonNotes(analysis: Analysis, opposing: Analysis): Reason[] {
  const ratios =
    analysis.jaw === 'upper' ? boltonRatios(analysis, opposing) : boltonRatios(opposing, analysis);
  const told = ratios.filter(({ percent }) => percent !== null);
  if (told.length === 0) {
    return [
      {
        code: 'SIZES_UNKNOWN',
        sentence: `Whether the tooth widths of the two arches fit each other is not known. ${ratios[0]?.reason ?? ''}`,
      },
    ];
  }
  const off = told.filter(isOff);
  if (off.length > 0) return off.map((ratio) => mismatchNote(ratio, analysis));
  const list = told.map(({ kind, percent }) => `${RATIO_NAMES[kind]} ${percent!.toFixed(1)} %`).join(', ');
  return [
    {
      code: 'SIZES_FIT',
      sentence: `The tooth widths of the two arches give no reason for a space to stay: Bolton’s ${list}, within ${SIGNIFICANT_SD} standard deviations of the means or no farther off than the uncertainty.`,
    },
  ];
}

/** Beyond two standard deviations, and the excess is more than its own uncertainty. */
function isOff({ deviations, excess }: BoltonRatio): boolean {
  if (deviations === null || excess === null || Math.abs(deviations) <= SIGNIFICANT_SD) return false;
  return excess.u95Mm === null || excess.mm > excess.u95Mm;
}

function mismatchNote({ kind, percent, deviations, excess }: BoltonRatio, { jaw }: Analysis): Reason {
  const mean = BOLTON_MEANS[kind].percent;
  const found = `Bolton’s ${RATIO_NAMES[kind]} is ${percent!.toFixed(1)} % (mean ${mean} %, ${Math.abs(deviations!).toFixed(1)} standard deviations off): ${mmWithU(excess!.mm, excess!.u95Mm)} too much tooth width in the ${excess!.jaw} arch`;
  const meaning =
    excess!.jaw === jaw
      ? 'The teeth of this arch are the wide ones, so their widths are not why its spaces stay.'
      : 'The teeth of this arch are narrow for the other, which is a reason why spaces stay: closing them changes the overjet, and building up a tooth may serve better. A question for the clinician.';
  return { code: 'SIZE_MISMATCH', sentence: `${found}. ${meaning}` };
}

function irregularityNote(analysis: Analysis): Reason[] {
  const index = archIndices(analysis).find(({ code }) => code === 'irregularity');
  const value = index?.valueMm ?? null;
  if (!index || value === null || value - (index.u95Mm ?? 0) <= 0 || value < IRREGULAR_MM) return [];
  return [
    {
      code: 'IRREGULARITY',
      sentence: `The contact points of the front teeth stand beside each other by ${mmWithU(value, index.u95Mm)} in all (Little’s index, ${index.grade ?? 'no class'}); closing spaces does not bring them together.`,
    },
  ];
}
