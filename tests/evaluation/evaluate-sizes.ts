import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ToothRecord } from '../../src/teeth/types.ts';
import type { LabelledCase } from './labelled-case.ts';
import type { TrueSize } from './true-sizes.ts';

/** A crown's sizes beside the true ones. */
export interface JudgedSize {
  readonly place: string;
  readonly record: ToothRecord;
  readonly truth: TrueSize;
  /** Both neighbours leave a space that was measured, or there is none on that side. */
  readonly open: boolean;
}

/** Sizes of a case's crowns with the labels found from its first click set; none without true sizes. */
export async function evaluateSizes({ name, scan, clickSets, sizes }: LabelledCase): Promise<JudgedSize[]> {
  const [set] = clickSets.values();
  if (sizes === null || set === undefined) return [];
  const found = segmentTeeth(await prepareTeeth(scan), set);
  const { teeth, contacts } = await measureContacts(scan, set, found, DEFAULT_MEASURE_SETTINGS);
  return teeth.flatMap((record) => {
    const truth = sizes.find(({ tooth }) => tooth === record.tooth);
    const open = contacts
      .filter(({ toothA, toothB }) => toothA === record.tooth || toothB === record.tooth)
      .every(({ gap }) => gap !== null);
    return truth === undefined ? [] : [{ place: name, record, truth, open }];
  });
}
