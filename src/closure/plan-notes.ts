import { type ArchContact, type ArchModel, isAsked } from './arch-model.ts';
import type { ClosureSettings, Reason, SpanOutcome } from './types.ts';
import { listText, mm, mmWithU, type ToothWords } from './wording.ts';

/**
 * A buccolingual offset from which a space is no longer only a space: the limit of clinical relevance for tooth
 * positions (0.5 mm; Gruenheid et al. 2017, facts 7.19).
 */
const SLIP_WORTH_SAYING_MM = 0.5;

/** A change that two decimals do not show is not worth a sentence. */
const WORTH_SAYING_MM = 0.005;

/** What the proposed stages do to the arch as a whole, in one sentence. */
export function archEffectsNote(outcome: SpanOutcome): Reason[] {
  const { arch } = outcome;
  if (arch === null) return [];
  const parts = [`perimeter ${signed(arch.perimeterChangeMm)} mm`, `depth ${signed(arch.depthChangeMm)} mm`];
  if (arch.canineWidthChangeMm !== null)
    parts.push(`width at the canines ${signed(arch.canineWidthChangeMm)} mm`);
  if (arch.molarWidthChangeMm !== null) {
    parts.push(`width at the first molars ${signed(arch.molarWidthChangeMm)} mm`);
  }
  const shift = Math.abs(arch.midlineShiftMm);
  parts.push(
    shift < WORTH_SAYING_MM
      ? 'midline unchanged'
      : `midline ${mm(shift)} mm to the patient's ${arch.midlineShiftMm > 0 ? 'left' : 'right'}`,
  );
  return [{ code: 'ARCH_EFFECTS', sentence: `The arch changes by the model: ${listText(parts)}.` }];
}

/** Spaces whose walls stand beside each other: drawing them together does not mend that. */
export function slipNotes(model: ArchModel, words: ToothWords): Reason[] {
  return model.contacts
    .filter((contact) => isAsked(contact) && Math.abs(contact.slipMm ?? 0) >= SLIP_WORTH_SAYING_MM)
    .map((contact) => ({
      code: 'SLIP',
      sentence: `At ${words.pair(contact)} the closest points lie ${mm(Math.abs(contact.slipMm ?? 0))} mm beside each other buccolingually; closing alone does not bring the contact points together.`,
    }));
}

function signed(value: number): string {
  const text = mm(value);
  return value > 0 && text !== '0.00' ? `+${text}` : text;
}

/** Contacts that stay unsettled beside open ones: said, but they do not decide. */
export function unsettledCaution(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
): Reason | null {
  const unsettled = model.contacts.filter((contact) => contact.unsettled);
  if (unsettled.length === 0) return null;
  return {
    code: 'UNSETTLED',
    sentence: `The scan cannot show whether ${listText(unsettled.map((contact) => unsettledText(contact, words)))} ${unsettled.length === 1 ? 'is' : 'are'} closed within ${mm(settings.limitMm)} mm; check with floss, the plan follows what it says.`,
  };
}

/** Things the user said that do not fit the arch or the scan. */
export function sideNotes(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason[] {
  const notes: Reason[] = [];
  const present = new Set(model.teeth.map((tooth) => tooth.tooth));
  const absent = settings.fixed.filter((tooth) => !present.has(tooth));
  if (absent.length > 0) {
    notes.push({
      code: 'FIXED_NOT_PRESENT',
      sentence: `Marked as fixed but not a tooth of this arch: ${listText(absent.map((tooth) => words.tooth(tooth)))}.`,
    });
  }
  for (const contact of model.contacts) {
    const said = contact.floss?.finding;
    if (
      (said === 'closed' && contact.status === 'open') ||
      (said === 'open' && contact.status === 'closed')
    ) {
      const measured = contact.beforeMm === null ? '' : ` (${mmWithU(contact.beforeMm, contact.u95Mm)})`;
      notes.push({
        code: 'FLOSS_DISAGREES',
        sentence: `At ${words.pair(contact)} the scan says ${contact.status}${measured} and floss says ${said}; the plan follows the scan, check again in the mouth.`,
      });
    } else if (
      contact.floss !== null &&
      contact.beforeMm === null &&
      contact.open &&
      contact.floss.spaceMm == null
    ) {
      notes.push({
        code: 'FLOSS_WITHOUT_SIZE',
        sentence: `Floss found ${words.pair(contact)} open; the scan gives no number there, so the plan counts it at ${mm(contact.countedMm)} mm, ${contact.countedMm === contact.upperBoundMm ? 'the most that can hide' : 'for want of a bound'}.`,
      });
    }
  }
  return notes;
}

/** An unsettled contact with what is known of it. */
export function unsettledText(contact: ArchContact, words: ToothWords): string {
  const name = words.pair(contact);
  if (contact.beforeMm !== null) return `${name} (${mmWithU(contact.beforeMm, contact.u95Mm)})`;
  const bound = contact.upperBoundMm === null ? 'no bound' : `up to ${mm(contact.upperBoundMm)} mm`;
  return `${name} (${contact.status === 'bridged' ? 'bridged' : 'not measurable'}, ${bound})`;
}
