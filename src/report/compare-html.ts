import type { ContactChange } from '../contacts/compare-contacts.ts';
import type { FollowUp } from '../contacts/follow-up.ts';
import type { Analysis, Contact, SectionProfile } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import { sentenceIn } from '../teeth/sentence-in.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { countWords } from './answer-words.ts';
import { COMPARISON_CAUTIONS } from './cautions.ts';
import { renderChangePlotSvg } from './change-plot-svg.ts';
import {
  CHANGE_NOTE_WORDS,
  carriedWords,
  changesHeadline,
  changeWords,
  formatDifference,
  standingWords,
} from './change-words.ts';
import { toothShift } from './compare-json.ts';
import { pairLabel, statusWords } from './contact-words.ts';
import { escapeText, sentenceHtml } from './escape-text.ts';
import { formatDegrees, formatGap, formatMm, formatMmOr, formatSignedMm, NO_NUMBER } from './format-mm.ts';
import type { PlannedOutcome } from './read-plan-json.ts';
import { headingLine, type RecordHeading } from './record-heading.ts';
import { contactsTable, sectionFigures } from './report-contacts.ts';
import { REPORT_STYLE } from './report-style.ts';
import { scanNames } from './scan-names.ts';
import { renderStatusGlyph } from './status-glyph.ts';

export interface CompareReportInput {
  readonly earlier: Analysis;
  /** Names by which the earlier and the new scan can be told apart; absent = by their file names. */
  readonly names?: readonly [string, string];
  readonly followUp: Pick<FollowUp, 'analysis' | 'alignment' | 'changes' | 'warnings'>;
  readonly plan: PlannedOutcome | null;
  /** Cuts through contacts of the new scan. */
  readonly sections: readonly SectionProfile[];
  readonly numbering: NumberingScheme;
  readonly version: string;
  /** ISO date and time. */
  readonly createdAt: string;
  readonly heading?: RecordHeading | null;
}

const PLOT_SIZE = { widthPx: 800, heightPx: 260 } as const;

/** The record of a comparison: one self-contained HTML file that prints; no scripts, nothing loaded from outside. */
export function writeCompareHtml(input: CompareReportInput): string {
  const { earlier, followUp, numbering, plan } = input;
  const { analysis, changes } = followUp;
  const names =
    input.names ??
    scanNames([earlier, analysis].map((one) => ({ fileName: fileName(one), scannedOn: null })));
  const name = escapeText(names.join(' to '));
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="generator" content="Archgap ${escapeText(input.version)}"><title>${name}: comparison of two scans</title><style>${REPORT_STYLE}</style></head>
<body>
<header class="top"><span><b>Archgap</b> comparison of two scans</span><span>${name}</span><span>${escapeText(input.createdAt.slice(0, 10))}</span></header>${headingLine(input.heading)}
<div class="answer"><h1>${sentenceHtml(changesHeadline(changes, numbering))}</h1>${plan?.span ? `<p class="second">${sentenceHtml(`Held against the plan ${plan.span.from}-${plan.span.to}${plan.span.stages === null ? '' : `, ${countWords(plan.span.stages, 'stage')}`}.`)}</p>` : ''}<ul><li>${escapeText(alignmentSentence(followUp))}</li>${warningItems(followUp, numbering)}</ul></div>
<section class="keep"><h2>Before and now</h2>${renderChangePlotSvg(changes, PLOT_SIZE, numbering)}<p class="remark">Space in millimetres. Hollow: before. Solid: now. Bars: what a web could hide. Dashed: the limit, ${formatMm(analysis.settings.limitMm)} mm.</p></section>
<section>${changesTable(changes, plan !== null, numbering)}</section>
${toothMotions(input)}
<section class="keep"><h2>The new scan</h2>${contactsTable(analysis, numbering)}</section>
${sectionFigures(analysis, input.sections, numbering)}
<section class="keep"><h2>Cautions</h2><ul class="cautions">${COMPARISON_CAUTIONS.map((caution) => `<li>${escapeText(caution)}</li>`).join('')}</ul><div class="sign"><span>reviewed by</span><span>date</span></div></section>
<footer class="foot"><p>Method. The earlier scan is laid over the new one on the crowns, all together and then tooth by tooth; clicks and numbers are carried over and the new scan is measured like any other. A change is one only beyond U = √(U₁² + U₂²). Crowns’ approach: the relative motion of two whole crowns along the line across their contact, which needs no wall. Where a plan is named, spaces are held against what it expected after its stages.</p><p>Archgap ${escapeText(input.version)}. ${escapeText([earlier, analysis].map(({ sources }, k) => `${names[k]}: SHA-256 ${sources.map(({ sha256 }) => sha256).join(', ')}.`).join(' '))}</p></footer>
</body></html>
`;
}

function fileName({ sources }: Analysis): string {
  return sources[0]?.fileName ?? 'scan';
}

/** How well the two scans lie over each other, in a sentence. */
export function alignmentSentence({ alignment }: Pick<FollowUp, 'alignment'>): string {
  if (alignment === null)
    return 'The scans could not be laid over each other; the clicks say which tooth is which.';
  const found = alignment.teeth.filter(({ sighting }) => sighting === 'recognised').length;
  return `${found} of ${countWords(alignment.teeth.length, 'tooth', 'teeth')} recognised by shape; each crown lies on the new scan within ${(1000 * alignment.medianOffsetMm).toFixed(0)} µm in the median.`;
}

function warningItems(
  { warnings, analysis }: Pick<FollowUp, 'warnings' | 'analysis'>,
  numbering: NumberingScheme,
): string {
  return [...warnings, ...analysis.warnings]
    .map((warning) => `<li>${escapeText(sentenceIn(warning, numbering))}</li>`)
    .join('');
}

function changesTable(
  changes: readonly ContactChange[],
  planned: boolean,
  numbering: NumberingScheme,
): string {
  const rows = changes.map((change) => changeRow(change, planned, numbering)).join('');
  const plan = planned ? '<th>planned</th><th>seen of it</th>' : '';
  return `<div class="scroll"><table class="contacts changes"><caption>Every contact of both scans from the patient’s right to left. Millimetres; ± is the expanded uncertainty, k = 2; minus means nearer.</caption><thead><tr><th>contact</th><th class="l">what became of it</th><th class="l">before</th><th class="l">now</th><th>change</th><th>crowns’<br>approach</th>${plan}</tr></thead><tbody>${rows}</tbody></table></div>`;
}

function changeRow(change: ContactChange, planned: boolean, numbering: NumberingScheme): string {
  const { before, after, plan } = change;
  const open = after?.status === 'open' ? ' class="is-open"' : '';
  const pair = escapeText(pairLabel(change.toothA, change.toothB, numbering));
  const standing = standingWords(change);
  const remarks = [
    ...(standing ? [standing] : []),
    ...(change.carried ? [carriedWords(change.carried)] : []),
    ...change.notes.map((note) => CHANGE_NOTE_WORDS[note]),
  ];
  const against = planned
    ? `<td class="num">${formatMmOr(plan?.afterMm ?? null)}</td><td class="num">${plan?.expressed ? `${(100 * plan.expressed.share).toFixed(0)} ± ${(100 * plan.expressed.u95).toFixed(0)} %` : NO_NUMBER}</td>`
    : '';
  const words = escapeText(changeWords(change));
  const became = change.kind === 'unchanged' ? words : `<b>${words}</b>`;
  const remark = remarks.length > 0 ? `<span class="remark">${escapeText(remarks.join('; '))}</span>` : '';
  return `<tr${open}><td>${pair}</td><td class="became">${became}${remark}</td>${stateCell(before)}${stateCell(after)}<td class="num">${changeCell(change)}</td><td class="num">${change.approach ? plain(formatDifference(change.approach)) : NO_NUMBER}</td>${against}</tr>`;
}

/** The table's caption says that it is in millimetres. */
function plain(text: string): string {
  return text.replace(' mm', '');
}

function changeCell({ change, rangeMm }: ContactChange): string {
  if (change) return plain(formatDifference(change));
  if (rangeMm === null) return NO_NUMBER;
  return `${formatSignedMm(rangeMm[0])} to ${formatSignedMm(rangeMm[1])}`;
}

function stateCell(contact: Contact | null): string {
  if (contact === null) return '<td class="word">no such pair</td>';
  const { gap, upperBoundMm, status } = contact;
  const space = gap ? plain(formatGap(gap)) : upperBoundMm === null ? '' : `up to ${formatMm(upperBoundMm)}`;
  return `<td class="word">${renderStatusGlyph(status)}${statusWords(contact)}<span class="remark">${space}</span></td>`;
}

function toothMotions({ earlier, followUp, numbering }: CompareReportInput): string {
  const { alignment } = followUp;
  if (alignment === null) return '';
  const rows = alignment.teeth.map((tooth) => {
    const name = escapeText(formatTooth(tooth.tooth, numbering));
    if (tooth.sighting !== 'recognised') {
      const why = tooth.sighting === 'changed' ? 'another shape than before' : 'not on the new scan';
      return `<tr><td>${name}</td><td colspan="5" class="l">${why}</td></tr>`;
    }
    const { leftMm, frontMm, upMm, turnRad } = toothShift(alignment, tooth, earlier);
    const cells = [
      ...[leftMm, frontMm, upMm].map(formatSignedMm),
      formatDegrees(turnRad),
      (1000 * (tooth.medianOffsetMm ?? 0)).toFixed(0),
    ];
    return `<tr><td>${name}</td>${cells.map((cell) => `<td class="num">${cell}</td>`).join('')}</tr>`;
  });
  return `<section class="keep"><h2>Teeth that moved</h2><div class="scroll"><table><caption>Every crown against the arch as a whole, in the earlier occlusal frame. What moved together does not show here.</caption><thead><tr><th>tooth</th><th>to the left, mm</th><th>to the front, mm</th><th>out of the gum, mm</th><th>turn, °</th><th>crown on new scan, µm</th></tr></thead><tbody>${rows.join('')}</tbody></table></div></section>`;
}
