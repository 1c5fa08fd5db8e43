import { archOrder } from '../../../src/teeth/notation.ts';
import { fitOcclusalFrame } from '../../../src/teeth/occlusal-frame.ts';
import type { ClickSet, ToothNumber } from '../../../src/teeth/types.ts';
import type { LabelledCase } from '../labelled-case.ts';
import { keepClicks } from './case-edits.ts';
import { firstClickSet, remadeCase } from './remade-case.ts';
import { takeOutTeeth } from './take-out-teeth.ts';

/**
 * The mouth after some teeth were lost: their crowns are cut out, their neighbours' walls go down to the gum, and the
 * gap is closed by a smooth ridge.
 *
 * @param listed - whether the click set says that they are missing
 */
export async function takenOutCase(
  labelled: LabelledCase,
  teeth: readonly ToothNumber[],
  listed: boolean,
): Promise<LabelledCase> {
  const set = firstClickSet(labelled);
  const frame = fitOcclusalFrame(labelled.scan, set);
  let surface = {
    mesh: { positions: labelled.scan.positions, triangles: labelled.scan.triangles },
    labels: labelled.truth,
  };
  for (const group of sideBySide(set, teeth))
    surface = takeOutTeeth(surface.mesh, surface.labels, group, frame);
  const clicks = keepClicks(set, (tooth) => !teeth.includes(tooth));
  const missing = listed ? [...set.missing, ...teeth] : set.missing;
  return remadeCase(labelled, surface.mesh, surface.labels, { ...clicks, missing });
}

/** Teeth in groups of neighbours. */
function sideBySide(set: ClickSet, teeth: readonly ToothNumber[]): ToothNumber[][] {
  const row = archOrder(set.jaw);
  const groups: ToothNumber[][] = [];
  for (const tooth of row.filter((one) => teeth.includes(one))) {
    const last = groups.at(-1);
    if (last && row.indexOf(tooth) === row.indexOf(last.at(-1)!) + 1) last.push(tooth);
    else groups.push([tooth]);
  }
  return groups;
}
