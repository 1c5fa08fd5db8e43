import { type ArchContact, type ArchModel, isAsked } from './arch-model.ts';
import type { ClosureSettings, Reason, SpanOutcome } from './types.ts';
import type { WeighedSpan } from './weigh-span.ts';
import { listText, mm, mmWithU, signedMm, type ToothWords, WORTH_SAYING_MM } from './wording.ts';

/**
 * A buccolingual offset from which a space is no longer only a space: the limit of clinical relevance for tooth
 * positions (0.5 mm; Gruenheid et al. 2017, facts 7.19).
 */
const SLIP_WORTH_SAYING_MM = 0.5;

/**
 * What the proposed stages do to the arch as a whole, in one sentence.
 *
 * @param share - of the motions that the outcome shows, which the stages proposed make
 */
export function archEffectsNote({ arch }: SpanOutcome, share: number): Reason[] {
  if (arch === null) return [];
  const parts = [
    `perimeter ${signedMm(arch.perimeterChangeMm * share)} mm`,
    `depth ${signedMm(arch.depthChangeMm * share)} mm`,
  ];
  if (arch.canineWidthChangeMm !== null)
    parts.push(`width at the canines ${signedMm(arch.canineWidthChangeMm * share)} mm`);
  if (arch.molarWidthChangeMm !== null) {
    parts.push(`width at the first molars ${signedMm(arch.molarWidthChangeMm * share)} mm`);
  }
  const shift = Math.abs(arch.midlineShiftMm * share);
  parts.push(
    shift < WORTH_SAYING_MM
      ? 'midline unchanged'
      : `midline ${mm(shift)} mm to the patient’s ${arch.midlineShiftMm > 0 ? 'left' : 'right'}`,
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

/**
 * Ends of the row behind which a tooth may stand that was not seen: what the proposed span would open there. Said
 * whenever something is to be closed, because the mouth need not end where the scan does.
 */
export function unseenEndNotes(
  model: ArchModel,
  proposed: WeighedSpan | null,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  if (model.unseenEnds.length === 0) return [];
  const ends = model.unseenEnds.map(({ tooth }) => words.tooth(tooth));
  const behind = model.unseenEnds.map((end) => words.tooth(end.behind));
  const most = proposed === null ? 0 : Math.max(...proposed.unseenOpeningsMm);
  const opening =
    proposed === null
      ? 'every span is judged without what lies beyond'
      : most < WORTH_SAYING_MM
        ? 'the proposed span leaves a contact there as it is'
        : `the proposed span would open a contact there by up to ${mm(most)} mm${most > settings.limitMm ? '' : ', not above the limit'}`;
  return [
    {
      code: 'END_UNKNOWN',
      sentence: `The row ends at ${listText(ends)} and nothing says that ${listText(behind)} ${behind.length === 1 ? 'is' : 'are'} missing: ${opening}. Mark what is missing, or measure the whole arch.`,
    },
  ];
}

/** Teeth that may stand in the arch and are not in the plan, because nobody clicked them or called them missing. */
export function notClickedNotes({ sitesNotSaid, ofCrowns }: ArchModel, words: ToothWords): Reason[] {
  if (sitesNotSaid.length === 0) return [];
  const teeth = sitesNotSaid.flatMap((site) => site.teeth);
  const one = teeth.length === 1;
  const names = listText(teeth.map((tooth) => words.tooth(tooth)));
  const sites = listText(sitesNotSaid.map((site) => words.pair(site)));
  const taken = `${sites} ${sitesNotSaid.length === 1 ? 'is taken for an empty site' : 'are taken for empty sites'}`;
  const counts = `the plan counts no contact of ${one ? 'that tooth' : 'those teeth'}`;
  return [
    ofCrowns
      ? {
          code: 'TOOTH_WITHOUT_CROWN',
          sentence: `No crown was given for ${names}: ${taken}, and ${counts}. Give ${one ? 'its crown' : 'their crowns'} if ${one ? 'it stands' : 'they stand'} there.`,
        }
      : {
          code: 'TOOTH_NOT_CLICKED',
          sentence: `${names} ${one ? 'has' : 'have'} no click and ${one ? 'is' : 'are'} not marked missing: ${taken}, and ${counts}. Click ${one ? 'it, or mark it' : 'them, or mark them'} missing, before anything is ordered.`,
        },
  ];
}

/** What a target below zero means, wherever one is set. */
export function overClosureNotes(model: ArchModel, words: ToothWords): Reason[] {
  const over = model.contacts.filter((contact) => contact.kind === 'contact' && contact.targetMm < 0);
  if (over.length === 0) return [];
  const places = over.map((contact) => `${words.pair(contact)} by ${mm(-contact.targetMm)} mm`);
  return [
    {
      code: 'OVER_CLOSURE',
      sentence: `Over-closed on request: ${listText(places)}. That much more motion is programmed than the space asks for, so that the teeth still press when part of it is not expressed; crowns do not run into each other, so a space below zero in this plan is pressure, not a measurement. If all of it is expressed, teeth are moved farther than the space asked for.`,
    },
  ];
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
    sentence: `The scan cannot show whether ${unsettled.length === 1 ? 'one more is' : 'the rest are'} closed within ${mm(settings.limitMm)} mm (${unsettledText(unsettled, words)}); check with floss, the plan follows what it says.`,
  };
}

/** Findings of floss that no contact of the arch takes up: elsewhere, over a missing tooth, or a second one. */
function strayFlossNotes(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason[] {
  const said = settings.floss ?? [];
  const used = new Set(model.contacts.flatMap(({ kind, floss }) => (kind === 'contact' && floss) || []));
  const strays = said.filter((finding) => !used.has(finding));
  if (strays.length === 0) return [];
  const places = strays.map((finding) => `${words.pair(finding)} ${finding.finding}`);
  return [
    {
      code: 'FLOSS_NOT_USED',
      sentence: `What floss is said to have found is not used where it is at no contact of this arch or the second finding for one: ${listText(places)}. Correct or remove ${strays.length === 1 ? 'it' : 'them'}.`,
    },
  ];
}

/** Things the user said that do not fit the arch or the scan. */
export function sideNotes(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason[] {
  const notes = strayFlossNotes(model, settings, words);
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

/** More contacts than this are counted, not listed: the table of contacts names them. */
const MOST_LISTED = 3;

/**
 * Unsettled contacts with what is known of them: those with a number one by one; the others listed when they are few,
 * else counted with the most that could hide: `bridged: 9 contacts, up to 0.27 mm could hide, listed in the table`.
 */
export function unsettledText(contacts: readonly ArchContact[], words: ToothWords): string {
  const measured = contacts.filter(({ beforeMm }) => beforeMm !== null);
  const rest = contacts.filter(({ beforeMm }) => beforeMm === null);
  const groups = [
    ['bridged', rest.filter(({ status }) => status === 'bridged')],
    ['not measurable', rest.filter(({ status }) => status !== 'bridged')],
  ] as const;
  return [
    ...(measured.length === 0
      ? []
      : [
          `undecided: ${listText(measured.map((c) => `${words.pair(c)} at ${mmWithU(c.beforeMm!, c.u95Mm)}`))}`,
        ]),
    ...groups.flatMap(([name, group]) => (group.length === 0 ? [] : [`${name}: ${groupText(group, words)}`])),
  ].join('; ');
}

function groupText(group: readonly ArchContact[], words: ToothWords): string {
  if (group.length <= MOST_LISTED) {
    return listText(
      group.map(
        (c) =>
          `${words.pair(c)} ${c.upperBoundMm === null ? 'without a bound' : `up to ${mm(c.upperBoundMm)} mm`}`,
      ),
    );
  }
  const bounds = group.flatMap(({ upperBoundMm }) => upperBoundMm ?? []);
  const unbounded = group.length - bounds.length;
  const most =
    bounds.length === 0
      ? 'without a bound'
      : `up to ${mm(Math.max(...bounds))} mm could hide${unbounded > 0 ? `, ${unbounded} without a bound` : ''}`;
  return `${group.length} contacts, ${most}, listed in the table`;
}
