import { answerReasons, type Tried } from './answer-reasons.ts';
import { type ArchContact, type ArchModel, isAsked } from './arch-model.ts';
import { byLengthThenStages, choose } from './choose.ts';
import {
  archEffectsNote,
  notClickedNotes,
  overClosureNotes,
  sideNotes,
  slipNotes,
  unseenEndNotes,
  unsettledCaution,
  unsettledText,
} from './plan-notes.ts';
import type { ClosurePlan, ClosureSettings, Reason, SpanOutcome } from './types.ts';
import type { WeighedSpan } from './weigh-span.ts';
import { listText, mm, mmWithU, type ToothWords, toothWords } from './wording.ts';

export type Proposal = Pick<ClosurePlan, 'answer' | 'proposal' | 'reasons'>;

/**
 * The answer to the clinician's question - which stages, over which teeth, how many, or none - by the rule of
 * `choose`, with its reasons as sentences.
 *
 * @param weighed - every span tried
 * @param outcomes - the same spans as the plan shows them
 */
export function propose(
  model: ArchModel,
  weighed: readonly WeighedSpan[],
  outcomes: readonly SpanOutcome[],
  settings: ClosureSettings,
): Proposal {
  const words = toothWords(settings);
  const choice = choose(model, weighed, settings);
  const notes = sideNotes(model, settings, words);
  if (choice.answer === 'none-needed' || choice.answer === 'floss-first') {
    return {
      answer: choice.answer,
      proposal: null,
      reasons: [nothingOpen(model, settings, words), ...notClickedNotes(model, words), ...notes],
    };
  }
  const tried = weighed
    .map((w, i): Tried => ({ weighed: w, outcome: outcomes[i]! }))
    .sort((p, q) => byLengthThenStages(p.weighed, q.weighed));
  const chosen = tried.find((t) => t.weighed === choice.chosen) ?? null;
  const reasons = [
    openContacts(model, settings, words),
    ...notClickedNotes(model, words),
    ...answerReasons(model, tried, chosen, choice, settings, words),
  ];
  const caution = unsettledCaution(model, settings, words);
  const proposed = choice.answer === 'tighten' || choice.answer === 'not-enough' ? chosen : null;
  return {
    answer: choice.answer,
    proposal:
      proposed === null
        ? null
        : { from: proposed.outcome.from, to: proposed.outcome.to, stages: choice.stages ?? 0 },
    reasons: [
      ...reasons,
      ...(proposed === null
        ? []
        : archEffectsNote(
            proposed.outcome,
            choice.but === 'stages' ? (proposed.outcome.maxStagesShare ?? 1) : 1,
          )),
      ...slipNotes(model, words),
      ...unseenEndNotes(model, proposed?.weighed ?? null, settings, words),
      ...(caution === null ? [] : [caution]),
      ...overClosureNotes(model, words),
      ...notes,
    ],
  };
}

function openContacts(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason {
  const asked = model.contacts.filter(isAsked);
  return {
    code: 'OPEN_CONTACTS',
    sentence: `${asked.some((contact) => contact.open) ? 'Open' : 'To be over-closed'}: ${listText(asked.map((contact) => openText(contact, words)))}; the limit is ${mm(settings.limitMm)} mm.`,
  };
}

function nothingOpen(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason {
  const contacts = model.contacts.filter((contact) => contact.kind === 'contact');
  if (contacts.length === 0) {
    const count = model.teeth.length === 1 ? '1 tooth' : `${model.teeth.length} teeth`;
    return {
      code: 'NO_CONTACTS',
      sentence: `The arch has ${count} and no contact between neighbours, so there is nothing to close.`,
    };
  }
  const unsettled = contacts.filter((contact) => contact.unsettled);
  if (unsettled.length === 0) {
    return {
      code: 'NONE_OPEN',
      sentence: `${contacts.length === 1 ? 'The one contact is not' : `None of the ${contacts.length} contacts is`} open against the limit of ${mm(settings.limitMm)} mm, so no tightening stages are needed.`,
    };
  }
  return {
    code: 'FLOSS_FIRST',
    sentence: `No contact is proven open, but the scan cannot show that ${unsettled.length === 1 ? 'this one is' : 'these are'} closed; check with floss first (${unsettledText(unsettled, words)}).`,
  };
}

function openText(contact: ArchContact, words: ToothWords): string {
  const name = words.pair(contact);
  const target = contact.targetMm < 0 ? `, to be over-closed by ${mm(-contact.targetMm)} mm` : '';
  if (contact.beforeMm === null) {
    return `${name} (${contact.open ? 'by floss, ' : ''}no number from the scan${target})`;
  }
  return `${name} (${mmWithU(contact.beforeMm, contact.u95Mm)}${target})`;
}
