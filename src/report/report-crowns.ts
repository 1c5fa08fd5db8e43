import type { ContactView } from '../contacts/crown-contact-view.ts';
import type { Analysis, Contact } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { pairLabel, STATUS_WORDS } from './contact-words.ts';
import { escapeText } from './escape-text.ts';
import { formatMmOr, formatSignedMm, formatU95, NO_NUMBER } from './format-mm.ts';
import { renderSectionSvg } from './render-section-svg.ts';
import { budget, SECTION_SIZE } from './report-contacts.ts';
import { sectionPicture } from './section-svg.ts';
import { wallMaps } from './wall-maps.ts';

/** Every contact of separate crowns with its cut, both walls and what was measured both ways. Empty without any. */
export function crownFigures(
  analysis: Analysis,
  views: readonly ContactView[],
  numbering: NumberingScheme,
): string {
  const figures = views.flatMap((view, index) => {
    const { toothA, toothB } = view.section;
    const contact = analysis.contacts.find((one) => one.toothA === toothA && one.toothB === toothB);
    return contact ? [crownFigure(view, contact, index, numbering)] : [];
  });
  if (figures.length === 0) return '';
  return `<section><h2>Contacts in pictures</h2><p class="remark">The cut along the arch, and both walls as the neighbour sees them: cheek or lip to the right, crown tops up, in the same axes, so that laid over each other they meet. Distances between corners of the triangles are taken as linear.</p>${figures.join('')}</section>`;
}

function crownFigure(
  { section, mapA, mapB }: ContactView,
  contact: Contact,
  index: number,
  numbering: NumberingScheme,
): string {
  const name = (tooth: number) => formatTooth(tooth, numbering);
  const { toothA, toothB, gap } = contact;
  const model = sectionPicture(section, contact, SECTION_SIZE, numbering);
  const value = gap
    ? `${formatSignedMm(gap.valueMm)} <small>± ${formatU95(gap.u95Mm)} mm</small>`
    : NO_NUMBER;
  const list = facts(contact)
    .map(([words, text]) => `<dt>${words}</dt><dd>${text}</dd>`)
    .join('');
  const remark = model.remark ? `<p class="note">${escapeText(model.remark)}</p>` : '';
  const walls = wallMaps([
    { map: mapA, caption: `${name(toothA)}, its wall` },
    { map: mapB, caption: `${name(toothB)}, its wall` },
  ]);
  const pair = escapeText(pairLabel(toothA, toothB, numbering));
  return `<figure class="cut with-walls">${renderSectionSvg(model, `c${index}`)}<figcaption><h3>${pair}, ${STATUS_WORDS[contact.status]}</h3><p class="big">${value}</p><dl>${list}</dl>${gap ? budget(gap.terms) : ''}${remark}</figcaption>${walls}</figure>`;
}

/** Millimetres and square millimetres; of both crowns, first the one nearer the patient's right. */
function facts({ crownContact, heightMm }: Contact): readonly (readonly [string, string])[] {
  if (crownContact === undefined) return [['below the occlusal plane', formatMmOr(heightMm)]];
  const { a, b, buccalMm } = crownContact;
  const both = (read: 'overlapMm' | 'within20umMm2' | 'within50umMm2') =>
    `${formatMmOr(a[read])} | ${formatMmOr(b[read])}`;
  return [
    ['depth in the other, both crowns', both('overlapMm')],
    ['area within 0.02 mm, mm²', both('within20umMm2')],
    ['area within 0.05 mm, mm²', both('within50umMm2')],
    ['below the occlusal plane', formatMmOr(heightMm)],
    ['to cheek or lip', buccalMm === null ? NO_NUMBER : formatSignedMm(buccalMm)],
  ];
}
