import { asOrdered, hasSomethingToClose, proposedSpan } from '../closure/ordered-outcome.ts';
import type { ClosurePlan, PlannedContact, Reason, SpanOutcome, ToothMotion } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { countWords, firmnessSentence, planHeadline, spanWords, VERDICT_WORDS } from './answer-words.ts';
import { archMap, renderArchMapSvg } from './arch-map-svg.ts';
import { escapeText, sentenceHtml } from './escape-text.ts';
import { formatDegrees, formatMm, formatSignedMm, NO_NUMBER } from './format-mm.ts';
import { motionArrows } from './motion-arrows.ts';

const DEGREES = 180 / Math.PI;
const MAP_SIZE = { widthPx: 390, heightPx: 310 } as const;
/** Why a shorter span was passed over: one reason per span, set small because the matrix shows the same. */
const SHORTER_SPAN = 'SHORTER_SPAN';
/** Spaces below this print as 0.00; they are shown as a quiet dot. */
const SHOWS_MM = 0.005;

/** The closure part of the record: answer, reasons, spans side by side, motions and arch effects. */
export function planSection(plan: ClosurePlan, analysis: Analysis, numbering: NumberingScheme): string {
  const item = (reason: Reason) => `<li>${sentenceHtml(reason.sentence)}</li>`;
  const shorter = plan.reasons.filter((reason) => reason.code === SHORTER_SPAN).map(item);
  const reasons = plan.reasons.filter((reason) => reason.code !== SHORTER_SPAN).map(item);
  const chosen = proposedSpan(plan);
  const ordered = chosen && asOrdered(plan, chosen);
  return `<section><h2>Closure</h2><p class="answer-line">${sentenceHtml(planHeadline(plan, numbering))}</p>${listHtml('reasons', reasons)}${listHtml('reasons shorter', shorter)}${firmness(plan)}<p class="rule-of-thumb">${sentenceHtml(plan.commonPractice.sentence)}</p>${
    hasSomethingToClose(plan) ? spanMatrix(plan, numbering) : ''
  }${ordered ? planView(ordered, analysis, numbering) + motions(ordered, numbering) : ''}${settingsLine(plan, analysis, numbering)}</section>`;
}

/** How the proposal changes with its inputs, and what the moved crowns measured: surfaces stand among the reasons. */
function firmness(plan: ClosurePlan): string {
  const sentence = firmnessSentence(plan);
  return sentence ? `<p class="remark">${sentenceHtml(sentence)}</p>` : '';
}

function listHtml(cls: string, items: readonly string[]): string {
  return items.length > 0 ? `<ul class="${cls}">${items.join('')}</ul>` : '';
}

/** A row per span, a column per contact with the space after the stages; what the stages open stands out. */
function spanMatrix(plan: ClosurePlan, numbering: NumberingScheme): string {
  const columns = plan.spans[0]?.contacts ?? [];
  const heads = columns
    .map(
      (contact) =>
        `<th class="col">${escapeText(formatTooth(contact.toothA, numbering))}<br>${escapeText(formatTooth(contact.toothB, numbering))}</th>`,
    )
    .join('');
  const before = columns
    .map((contact) => `<td>${contact.beforeMm === null ? NO_NUMBER : formatMm(contact.beforeMm)}</td>`)
    .join('');
  const chosen = proposedSpan(plan);
  const rows = plan.spans
    .map((span) => spanRow(asOrdered(plan, span), span === chosen, plan.settings.limitMm, numbering))
    .join('');
  return `<div class="scroll"><table class="spans"><caption>Spaces after the stages, by span, mm. Shaded: inside the span. <b>▲</b>: opened or widened by the stages, filled where above the limit. ·: no number from the scan, unchanged; with a sign: grows by.${plan.spans.some((span) => span.stages === null && span.stagesNeeded !== null) ? ' In brackets: stages the whole motion needs, more than allowed; the spaces are those of the whole motion.' : ''}</caption><thead><tr><th>span</th>${heads}<th>stages</th><th class="l">outcome</th></tr></thead><tbody><tr class="before"><td>measured</td>${before}<td></td><td></td></tr>${rows}</tbody></table></div>`;
}

function spanRow(span: SpanOutcome, chosen: boolean, limitMm: number, numbering: NumberingScheme): string {
  const cells = span.contacts.map((contact) => spanCell(contact, limitMm)).join('');
  const stages = stagesCell(span);
  const name = escapeText(spanWords(span.from, span.to, numbering));
  return `<tr${chosen ? ' class="chosen"' : ''}><td>${name}</td>${cells}<td>${stages}</td><td class="verdict">${VERDICT_WORDS[span.verdict]}</td></tr>`;
}

/** Stages to order; in brackets what the whole motion needs, where that is more than allowed. */
function stagesCell({ stages, stagesNeeded, verdict }: SpanOutcome): string {
  if (verdict === 'nothing-to-close' || stagesNeeded === null) return NO_NUMBER;
  if (stages === null) return `(${stagesNeeded})`;
  return stagesNeeded > stages ? `${stages} of ${stagesNeeded}` : String(stages);
}

function spanCell(contact: PlannedContact, limitMm: number): string {
  if (contact.status === 'missing-tooth') return `<td>${NO_NUMBER}</td>`;
  const classes: string[] = [];
  if (contact.insideSpan) classes.push('in');
  if (contact.opened) classes.push(contact.afterMm > limitMm ? 'opened' : 'widened');
  else if (contact.afterMm > limitMm) classes.push('left');
  else if (Math.abs(contact.afterMm) < SHOWS_MM) classes.push('zero');
  // Without a number from the scan or from floss only a change can be told.
  const unseen = contact.beforeMm === null && (contact.countedMm ?? 0) === 0;
  const still = Math.abs(contact.afterMm) < SHOWS_MM;
  const text = still
    ? unseen
      ? '·'
      : '0'
    : unseen
      ? formatSignedMm(contact.afterMm)
      : formatMm(contact.afterMm);
  return `<td class="${classes.join(' ')}">${contact.opened ? '<i>▲</i>' : ''}${text}</td>`;
}

/** The crowns from above with an arrow each: where the stages take them. */
function planView(span: SpanOutcome, analysis: Analysis, numbering: NumberingScheme): string {
  const map = archMap(analysis, MAP_SIZE, numbering);
  const motion = motionArrows(map, analysis.jaw, span.teeth, numbering);
  if (motion.arrows.length === 0) return '';
  const factor =
    motion.exaggeration === 1 ? 'true to scale' : `drawn ${motion.exaggeration} times larger than the crowns`;
  const stages = countWords(span.stages ?? 0, 'stage');
  return `<figure class="plan-view">${renderArchMapSvg(map, motion)}<figcaption class="remark">Motions of the crowns after ${stages} over ${escapeText(spanWords(span.from, span.to, numbering))}, seen from the crowns’ tops, the patient’s right on the left. Arrows are ${factor}; arcs show turns.${span.arch ? ` The largest motion is ${formatMm(span.arch.largestMotionMm)} mm.` : ''}</figcaption></figure>`;
}

/** A column per tooth, so that the row of teeth reads like the arch. */
function motions(span: SpanOutcome, numbering: NumberingScheme): string {
  const row = (name: string, cell: (motion: ToothMotion) => string) =>
    `<tr><td>${name}</td>${span.teeth.map((motion) => `<td>${cell(motion)}</td>`).join('')}</tr>`;
  const heads = span.teeth
    .map((motion) => `<th class="col">${escapeText(formatTooth(motion.tooth, numbering))}</th>`)
    .join('');
  return `<div class="scroll"><table class="spans moves"><caption>How the teeth of the proposed span move: mesial and buccal positive, mm; rotation counter-clockwise seen from the crowns’ tops, degrees.</caption><thead><tr><th>tooth</th>${heads}</tr></thead><tbody>${row('mesial', (motion) => formatMm(motion.mesialMm))}${row('buccal', (motion) => formatMm(motion.buccalMm))}${row('rotation', (motion) => formatDegrees(motion.rotationRad))}</tbody></table></div>${span.arch ? archEffects(span.arch) : ''}`;
}

function archEffects(arch: NonNullable<SpanOutcome['arch']>): string {
  const signed = (value: number | null) => (value === null ? NO_NUMBER : formatSignedMm(value));
  const facts: readonly (readonly [string, string])[] = [
    ['perimeter', signed(arch.perimeterChangeMm)],
    ['depth', signed(arch.depthChangeMm)],
    ['canine width', signed(arch.canineWidthChangeMm)],
    ['molar width', signed(arch.molarWidthChangeMm)],
    ['midline, to the left', signed(arch.midlineShiftMm)],
    ['largest motion', formatMm(arch.largestMotionMm)],
  ];
  const list = facts.map(([name, value]) => `<div><dt>${name}</dt><dd>${value}</dd></div>`).join('');
  return `<div class="keep"><p class="remark">What the stages do to the arch, mm</p><dl class="effects">${list}</dl></div>`;
}

function settingsLine(plan: ClosurePlan, analysis: Analysis, numbering: NumberingScheme): string {
  const { settings } = plan;
  const fixed = analysis.teeth.filter((record) => record.fixed).map((record) => record.tooth);
  const held = [...new Set([...fixed, ...settings.fixed])].map((tooth) => formatTooth(tooth, numbering));
  const parts = [
    `limit ${formatMm(settings.limitMm)} mm`,
    `at most ${settings.maxStages} stages`,
    `at most ${formatMm(settings.perStageMm)} mm and ${(settings.perStageRad * DEGREES).toFixed(1)}° per tooth and stage`,
    `${Math.round(settings.expression * 100)} % of the programmed motion expressed`,
    held.length > 0 ? `fixed: ${held.join(', ')}` : 'no tooth fixed',
  ];
  const assumed = (plan.assumptions ?? []).map((sentence) => ` ${sentence}`).join('');
  return `<p class="remark">Planned with: ${escapeText(parts.join('; '))}.${escapeText(assumed)}</p>`;
}
