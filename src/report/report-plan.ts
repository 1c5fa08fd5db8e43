import type { ClosurePlan, PlannedContact, SpanOutcome } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { planHeadline, spanWords, VERDICT_WORDS } from './answer-words.ts';
import { escapeText } from './escape-text.ts';
import { formatMm, formatMmOr, formatSignedMm, NO_NUMBER } from './format-mm.ts';

const DEGREES = 180 / Math.PI;
/** Spaces below this print as 0.00; they are shown as a quiet dot. */
const SHOWS_MM = 0.005;

/** The closure part of the record: answer, reasons, spans side by side, motions and arch effects. */
export function planSection(plan: ClosurePlan, analysis: Analysis, numbering: NumberingScheme): string {
  const reasons = plan.reasons.map((reason) => `<li>${escapeText(reason.sentence)}</li>`).join('');
  const chosen = proposedSpan(plan);
  return `<section><h2>Closure</h2><p class="answer-line"><b>${escapeText(planHeadline(plan, numbering))}</b></p>${
    reasons ? `<ul class="reasons">${reasons}</ul>` : ''
  }<p class="rule-of-thumb">Common practice: ${escapeText(plan.commonPractice.sentence)}</p>${
    plan.spans.length > 0 ? spanMatrix(plan, numbering) : ''
  }${chosen ? motions(chosen, numbering) : ''}${settingsLine(plan, analysis, numbering)}</section>`;
}

function proposedSpan(plan: ClosurePlan): SpanOutcome | null {
  const { proposal } = plan;
  if (!proposal) return null;
  return plan.spans.find((span) => span.from === proposal.from && span.to === proposal.to) ?? null;
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
    .map((span) => spanRow(span, span === chosen, plan.settings.limitMm, numbering))
    .join('');
  return `<div class="scroll"><table class="spans"><caption>Spaces after the stages, by span, mm. Shaded: inside the span. <b>▲</b>: opened by the stages. Bridged contacts count from zero.</caption><thead><tr><th>span</th>${heads}<th>stages</th><th class="l">outcome</th></tr></thead><tbody><tr class="before"><td>measured</td>${before}<td></td><td></td></tr>${rows}</tbody></table></div>`;
}

function spanRow(span: SpanOutcome, chosen: boolean, limitMm: number, numbering: NumberingScheme): string {
  const cells = span.contacts.map((contact) => spanCell(contact, limitMm)).join('');
  const stages = span.stages ?? (span.stagesNeeded === null ? NO_NUMBER : `(${span.stagesNeeded})`);
  const name = escapeText(spanWords(span.from, span.to, numbering));
  return `<tr${chosen ? ' class="chosen"' : ''}><td>${name}</td>${cells}<td>${stages}</td><td class="verdict">${VERDICT_WORDS[span.verdict]}</td></tr>`;
}

function spanCell(contact: PlannedContact, limitMm: number): string {
  if (contact.status === 'missing-tooth') return `<td>${NO_NUMBER}</td>`;
  const classes: string[] = [];
  if (contact.insideSpan) classes.push('in');
  if (contact.opened) classes.push('opened');
  else if (contact.afterMm > limitMm) classes.push('left');
  else if (Math.abs(contact.afterMm) < SHOWS_MM) classes.push('zero');
  const text = Math.abs(contact.afterMm) < SHOWS_MM ? '0' : formatMm(contact.afterMm);
  return `<td class="${classes.join(' ')}">${contact.opened ? '▲ ' : ''}${text}</td>`;
}

function motions(span: SpanOutcome, numbering: NumberingScheme): string {
  const rows = span.teeth
    .map(
      (motion) =>
        `<tr><td>${escapeText(formatTooth(motion.tooth, numbering))}</td><td>${formatSignedMm(motion.mesialMm)}</td><td>${formatSignedMm(motion.buccalMm)}</td><td>${(motion.rotationRad * DEGREES).toFixed(1)}</td></tr>`,
    )
    .join('');
  const teeth = `<table class="plain"><caption>Motions of the proposed span: mesial and buccal positive, mm; rotation counter-clockwise seen from the crowns’ tops, degrees.</caption><thead><tr><th>tooth</th><th>mesial</th><th>buccal</th><th>rotation</th></tr></thead><tbody>${rows}</tbody></table>`;
  return `<div class="two"><div>${teeth}</div><div>${span.arch ? archEffects(span.arch) : ''}</div></div>`;
}

function archEffects(arch: NonNullable<SpanOutcome['arch']>): string {
  const signed = (value: number | null) => (value === null ? NO_NUMBER : formatSignedMm(value));
  const rows: readonly (readonly [string, string])[] = [
    ['perimeter', signed(arch.perimeterChangeMm)],
    ['depth', signed(arch.depthChangeMm)],
    ['canine width', signed(arch.canineWidthChangeMm)],
    ['molar width', signed(arch.molarWidthChangeMm)],
    ['midline, towards the patient’s left', signed(arch.midlineShiftMm)],
    ['largest motion of one tooth', formatMmOr(arch.largestMotionMm)],
  ];
  const body = rows.map(([name, value]) => `<tr><td>${name}</td><td>${value}</td></tr>`).join('');
  return `<table class="plain"><caption>Change of the arch, mm.</caption><thead><tr><th>measure</th><th>change</th></tr></thead><tbody>${body}</tbody></table>`;
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
  return `<p class="remark">Planned with: ${escapeText(parts.join('; '))}.</p>`;
}
