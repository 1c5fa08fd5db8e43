import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import type { Contact } from '../../src/contacts/types.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import { type JudgedContact, judgeContacts } from './judge-spaces.ts';
import type { LabelledCase } from './labelled-case.ts';
import { clearanceOfCrowns, type TrueCrowns } from './true-clearance.ts';

export interface SpacesOptions {
  /** Whose labels are measured on: those found from the clicks, or the true ones. */
  readonly labels: 'own' | 'true';
}

/** Measures all contacts of a case with known spaces, once per click set, and sets them beside the truth. */
export async function evaluateSpaces(
  labelled: LabelledCase,
  crowns: TrueCrowns,
  options: SpacesOptions,
): Promise<JudgedContact[]> {
  const { scan, truth, spaces, clickSets, name } = labelled;
  if (spaces === null) return [];
  const base = await prepareTeeth(scan);
  const judged: JudgedContact[] = [];
  for (const [clicks, set] of clickSets) {
    const found = segmentTeeth(base, set);
    const used =
      options.labels === 'own' ? found : { labels: truth, frame: found.frame, warnings: found.warnings };
    const { contacts } = await measureContacts(scan, set, used, DEFAULT_MEASURE_SETTINGS);
    judged.push(
      ...judgeContacts(`${name} (${clicks})`, contacts, spaces, (contact) => clearance(crowns, contact)),
    );
    // With true labels a second click set would only repeat the first.
    if (options.labels === 'true') break;
  }
  return judged;
}

function clearance(crowns: TrueCrowns, contact: Contact): number | null {
  const a = crowns.get(contact.toothA);
  const b = crowns.get(contact.toothB);
  return a && b && contact.gap !== null ? clearanceOfCrowns(a, b, contact.closingDirection) : null;
}
