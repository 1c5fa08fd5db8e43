import type { FlossFinding } from '../closure/types.ts';
import type { Analysis, Contact, ContactStatus, SectionProfile, UncertaintyTerm } from '../contacts/types.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { isNotClicked, noteWords, pairLabel, STATUS_WORDS, statusWords } from './contact-words.ts';
import { escapeText } from './escape-text.ts';
import { formatMm, formatMmOr, formatU95, NO_NUMBER } from './format-mm.ts';
import { renderSectionSvg } from './render-section-svg.ts';
import { sectionPicture } from './section-svg.ts';
import { renderStatusGlyph } from './status-glyph.ts';
import { px } from './svg-path.ts';

/** Sections are drawn this large, px; the sheet scales them to its column. */
export const SECTION_SIZE = { widthPx: 560, heightPx: 244 } as const;
/** Contacts whose section belongs into the record. */
const SHOWN: ReadonlySet<ContactStatus> = new Set(['open', 'undecided', 'overlap']);

/** The table of all contacts, right to left, with a column left free for what floss or a strip says. */
export function contactsTable(
  analysis: Analysis,
  numbering: NumberingScheme,
  floss: readonly FlossFinding[] = [],
): string {
  const rows = analysis.contacts.map((contact) => contactRow(contact, numbering, floss)).join('');
  return `<div class="scroll"><table class="contacts"><caption>All contacts from the patient’s right to left. Millimetres; ± is the expanded uncertainty, k = 2.</caption><thead><tr><th>contact</th><th class="l">status</th><th>space</th><th>±</th><th>could hide<br>up to</th><th>nearest<br>on mesh</th><th>closing<br>clearance</th><th>below<br>occlusal</th><th>slip</th><th class="l">remarks</th><th class="l by-hand">floss<br>or strip</th></tr></thead><tbody>${rows}</tbody></table></div>`;
}

function contactRow(contact: Contact, numbering: NumberingScheme, floss: readonly FlossFinding[]): string {
  const cells = [
    contact.gap ? formatMm(contact.gap.valueMm) : NO_NUMBER,
    contact.gap ? formatU95(contact.gap.u95Mm) : NO_NUMBER,
    formatMmOr(contact.upperBoundMm),
    formatMmOr(contact.nearestMm),
    formatMmOr(contact.clearanceMm),
    formatMmOr(contact.heightMm),
    formatMmOr(contact.slipMm),
  ];
  const open = contact.status === 'open' ? ' class="is-open"' : '';
  const pair = escapeText(pairLabel(contact.toothA, contact.toothB, numbering));
  const status = `${renderStatusGlyph(contact.status)}${statusWords(contact)}`;
  const numbers = cells.map((cell) => `<td class="num">${cell}</td>`).join('');
  const remarks = escapeText(contact.notes.map(noteWords).join('; '));
  return `<tr${open}><td>${pair}</td><td class="word">${status}</td>${numbers}<td class="remark">${remarks}</td><td class="word">${escapeText(flossWords(contact, floss))}</td></tr>`;
}

/** `passes, strip 0.10 mm, 2026-11-27`; empty where nothing was entered. */
function flossWords({ toothA, toothB }: Contact, floss: readonly FlossFinding[]): string {
  const found = floss.find((one) => one.toothA === toothA && one.toothB === toothB);
  if (!found) return '';
  const strip = found.spaceMm ? `strip ${formatMm(found.spaceMm)} mm` : '';
  const parts = [found.finding === 'open' ? 'passes' : 'holds', strip, found.foundOn ?? ''];
  return parts.filter((part) => part !== '').join(', ');
}

/** The marks of the plot and what they mean, for the statuses that occur. */
export function statusLegend(contacts: readonly Contact[]): string {
  const meaning: Readonly<Record<ContactStatus, string>> = {
    open: 'open: the interval lies above the limit',
    undecided: 'undecided: the interval spans the limit',
    closed: 'closed: the interval lies below the limit',
    bridged: 'bridged: not seen; what could hide there',
    overlap: 'overlap: the crowns run into each other',
    'missing-tooth': contacts.some(isNotClicked)
      ? 'missing tooth, or one not clicked: not a contact'
      : 'missing tooth: not a contact',
    'not-measurable': 'not measurable on this scan',
  };
  const found = (Object.keys(meaning) as ContactStatus[]).filter((status) =>
    contacts.some((contact) => contact.status === status),
  );
  const items = found.map((status) => `<span>${renderStatusGlyph(status)}${meaning[status]}</span>`);
  return `<div class="legend">${items.join('')}</div>`;
}

/** One picture per open, undecided or overlapping contact, with its numbers beside it. Empty without any. */
export function sectionFigures(
  analysis: Analysis,
  sections: readonly SectionProfile[],
  numbering: NumberingScheme,
): string {
  const figures = analysis.contacts.flatMap((contact, index) => {
    const profile = sections.find(
      (section) => section.toothA === contact.toothA && section.toothB === contact.toothB,
    );
    return profile && SHOWN.has(contact.status) ? [sectionFigure(profile, contact, index, numbering)] : [];
  });
  if (figures.length === 0) return '';
  return `<section><h2>Sections</h2>${figures.join('')}</section>`;
}

function sectionFigure(
  profile: SectionProfile,
  contact: Contact,
  index: number,
  numbering: NumberingScheme,
): string {
  const model = sectionPicture(profile, contact, SECTION_SIZE, numbering);
  const value = contact.gap
    ? `${formatMm(contact.gap.valueMm)} <small>± ${formatU95(contact.gap.u95Mm)} mm</small>`
    : NO_NUMBER;
  const facts: readonly (readonly [string, string])[] = [
    ['nearest on the mesh', formatMmOr(contact.nearestMm)],
    ['closing clearance', formatMmOr(contact.clearanceMm)],
    ['below the occlusal plane', formatMmOr(contact.heightMm)],
    ['buccolingual slip', formatMmOr(contact.slipMm)],
  ];
  const list = facts.map(([name, text]) => `<dt>${name}</dt><dd>${text}</dd>`).join('');
  const remark = model.remark ? `<p class="note">${escapeText(model.remark)}</p>` : '';
  const pair = escapeText(pairLabel(contact.toothA, contact.toothB, numbering));
  return `<figure class="cut">${renderSectionSvg(model, `s${index}`)}<figcaption><h3>${pair}, ${STATUS_WORDS[contact.status]}</h3><p class="big">${value}</p><dl>${list}</dl>${contact.gap ? budget(contact.gap.terms) : ''}${remark}</figcaption></figure>`;
}

/** The terms of the uncertainty budget as bars: share of the variance, standard uncertainty beside it. */
export function budget(terms: readonly UncertaintyTerm[]): string {
  const variance = terms.reduce((sum, term) => sum + term.standardMm ** 2, 0);
  if (variance === 0) return '';
  const rows = [...terms]
    .sort((a, b) => b.standardMm - a.standardMm)
    .map((term) => {
      const share = (100 * term.standardMm ** 2) / variance;
      return `<div title="${escapeText(`type ${term.type}: ${term.source}`)}"><span>${escapeText(term.name)}</span><svg viewBox="0 0 100 7" preserveAspectRatio="none" aria-hidden="true"><rect width="100" height="7" rx="2" fill="#e6e2d7"/><rect width="${px(share)}" height="7" rx="2" fill="#0d5c63"/></svg><span>${formatStandard(term.standardMm)}</span></div>`;
    });
  return `<div class="budget"><p class="note">uncertainty by share, standard, mm</p>${rows.join('')}</div>`;
}

/** Micrometres as millimetres; what rounds to nothing is said to be small, not zero. */
function formatStandard(standardMm: number): string {
  return standardMm > 0 && standardMm < 0.0005 ? '&lt;0.001' : standardMm.toFixed(3);
}
