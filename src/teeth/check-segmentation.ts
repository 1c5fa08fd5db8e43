import type { PlacedTooth } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { SEGMENT } from './segment-settings.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { ToothWarning } from './types.ts';

/** A border between two teeth that is at least this long and this little folded (0 = sharp fold, 1 = none). */
const LEAST_BORDER_MM = 3;
const NO_FOLD_SHARE = 0.5;
/** Share of a textbook crown's surface below which a region can't be a whole crown. */
const SMALL_SHARE = 0.4;

/**
 * Looks for what a wrong click does to the labels, and says it in a sentence.
 *
 * @param labels - per node of the coarse graph, 0 = gum, t + 1 = tooth t
 */
export function checkSegmentation(
  base: TeethBase,
  labels: Uint8Array,
  teeth: readonly PlacedTooth[],
): ToothWarning[] {
  return [...checkFolds(base, labels, teeth), ...checkAreas(base, labels, teeth)];
}

/** Two teeth without a fold between them are two clicks on one crown. */
function checkFolds(base: TeethBase, labels: Uint8Array, teeth: readonly PlacedTooth[]): ToothWarning[] {
  const { nodeCount, start, target, lengthMm, curvature } = base.graph;
  const size = teeth.length + 1;
  const length = new Float64Array(size * size);
  const weight = new Float64Array(size * size);
  for (let i = 0; i < nodeCount; i++) {
    const own = labels[i]!;
    if (own === 0) continue;
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const there = labels[target[arc]!]!;
      if (there <= own) continue;
      const cell = own * size + there;
      length[cell] = length[cell]! + lengthMm[arc]!;
      weight[cell] =
        weight[cell]! + lengthMm[arc]! * Math.exp(Math.min(0, curvature[arc]!) / SEGMENT.curvatureScale);
    }
  }
  const warnings: ToothWarning[] = [];
  for (let a = 1; a < size; a++) {
    for (let b = a + 1; b < size; b++) {
      const cell = a * size + b;
      if (length[cell]! < LEAST_BORDER_MM || weight[cell]! < NO_FOLD_SHARE * length[cell]!) continue;
      const [one, two] = [teeth[a - 1]!.tooth, teeth[b - 1]!.tooth];
      warnings.push({
        code: 'NO_FOLD_BETWEEN',
        tooth: two,
        teeth: [one, two],
        sentence: `No fold parts ${one} from ${two}: both clicks may lie on one crown. Remove one of them or move it.`,
      });
    }
  }
  return warnings;
}

/** Regions too small for a crown: a click on the gum, on a neighbour, or on a tooth that is hardly through. */
function checkAreas(base: TeethBase, labels: Uint8Array, teeth: readonly PlacedTooth[]): ToothWarning[] {
  const area = new Float64Array(teeth.length + 1);
  for (let i = 0; i < labels.length; i++) area[labels[i]!] = area[labels[i]!]! + base.graph.area[i]!;
  return teeth.flatMap(({ tooth }, t): ToothWarning[] => {
    const { crownMm, mesiodistalMm, buccolingualMm } = textbookSize(tooth);
    const expected = mesiodistalMm * buccolingualMm + crownMm * (mesiodistalMm + buccolingualMm);
    if (area[t + 1]! >= SMALL_SHARE * expected) return [];
    const found = area[t + 1]!.toFixed(0);
    return [
      {
        code: 'TOOTH_REGION_SMALL',
        tooth,
        teeth: [tooth],
        sentence: `Only ${found} mm² were found for ${tooth}, where a crown has about ${expected.toFixed(0)} mm². Click the middle of its crown, or add a click where it is missing.`,
      },
    ];
  });
}
