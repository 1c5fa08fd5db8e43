import type { ClosurePlan, FlossFinding } from '../closure/types.ts';
import type { ContactView } from '../contacts/crown-contact-view.ts';
import { neverBridgedMm } from '../contacts/scanner-profile.ts';
import type { Analysis, GapEstimate, SectionProfile } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import { sentenceIn } from '../teeth/sentence-in.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { contactsHeadline, contactsRemainder, countWords, planHeadline } from './answer-words.ts';
import { archMap, renderArchMapSvg } from './arch-map-svg.ts';
import { CAUTIONS } from './cautions.ts';
import { writeClosureNote } from './closure-note.ts';
import { contactPlot, renderContactPlotSvg } from './contact-plot-svg.ts';
import { escapeText, sentenceHtml } from './escape-text.ts';
import { formatMm } from './format-mm.ts';
import { headingLine, type RecordHeading } from './record-heading.ts';
import { contactsTable, sectionFigures, statusLegend } from './report-contacts.ts';
import { crownFigures } from './report-crowns.ts';
import { planSection } from './report-plan.ts';
import { sizesSection } from './report-sizes.ts';
import { REPORT_STYLE } from './report-style.ts';

export interface ReportInput {
  readonly analysis: Analysis;
  readonly plan: ClosurePlan | null;
  /** Cuts through contacts; those of open, undecided and overlapping contacts are drawn. */
  readonly sections: readonly SectionProfile[];
  /** Separate crowns: every contact that has a place is drawn, the cut and both walls. */
  readonly crownViews?: readonly ContactView[];
  readonly numbering: NumberingScheme;
  readonly version: string;
  /** ISO date and time; null: the record is undated, as in a batch whose files must not depend on when they were made. */
  readonly createdAt: string | null;
  readonly caseLabel?: string;
  /** By what the scan is told from the others of its case; absent = by its file name. */
  readonly scanName?: string;
  readonly heading?: RecordHeading | null;
  /** What floss or a strip said, for the table. */
  readonly floss?: readonly FlossFinding[];
  /** The note as the user wrote it; null or absent = as the plan writes it. */
  readonly note?: string | null;
  /** Why there is no plan, in a sentence; told where the plan would stand. */
  readonly planRefusal?: string;
}

const PLOT_SIZE = { widthPx: 800, heightPx: 280 } as const;
const MAP_SIZE = { widthPx: 390, heightPx: 310 } as const;

const NUMBERING_WORDS: Readonly<Record<NumberingScheme, string>> = {
  iso: 'ISO 3950',
  universal: 'universal, 1 to 32',
  palmer: 'Palmer, written as quadrant and digit',
};

const BASIS_WORDS: Readonly<Record<GapEstimate['basis'], string>> = {
  'mesh-minimum': 'the exact smallest distance of the two scanned walls',
  patch: 'the smallest distance of smooth patches fitted to both walls',
  'crown-shells': 'the signed distance of the two closed crown shells',
};

/**
 * The record: one self-contained HTML file that prints on A4 and Letter. No scripts, nothing loaded from outside,
 * every text from a file or a user escaped.
 */
export function writeReportHtml(input: ReportInput): string {
  const { analysis, plan, sections, numbering } = input;
  const title = input.caseLabel ?? input.scanName ?? sourceName(analysis);
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="generator" content="Archgap ${escapeText(input.version)}"><title>${escapeText(title)}: contact record</title><style>${REPORT_STYLE}${runningFoot(input)}</style></head>
<body>
<header class="top"><span><b>Archgap</b> contact record</span><span>${escapeText(title)}</span><span>${escapeText(dateWords(input.createdAt))}</span></header>${headingLine(input.heading)}
${answerBlock(input)}
<section class="first"><div class="pair">${renderArchMapSvg(archMap(analysis, MAP_SIZE, numbering))}${factsList(input)}</div></section>
<section class="keep"><h2>Contacts</h2>${renderContactPlotSvg(contactPlot(analysis, PLOT_SIZE, numbering))}${statusLegend(analysis.contacts)}</section>
<section class="keep">${contactsTable(analysis, numbering, input.floss)}</section>
${crownFigures(analysis, input.crownViews ?? [], numbering)}${sectionFigures(analysis, sections, numbering)}
${plan ? planSection(plan, analysis, numbering) : refusalSection(input.planRefusal)}
${plan ? `<section class="keep"><h2>Note to go with the order</h2><pre class="letter">${escapeText(input.note ?? noteWithoutCautions(plan, input))}</pre></section>` : ''}
${sizesSection(analysis, numbering)}
<section class="keep"><h2>Cautions</h2><ul class="cautions">${CAUTIONS.map((caution) => `<li>${escapeText(caution)}</li>`).join('')}</ul><div class="sign"><span>reviewed by</span><span>date</span></div></section>
<footer class="foot"><p>${escapeText(methodLine(analysis))}</p><p>Archgap ${escapeText(input.version)}. ${escapeText(hashLine(analysis))}</p></footer>
</body></html>
`;
}

function sourceName(analysis: Analysis): string {
  if (analysis.kind === 'crowns')
    return `${countWords(analysis.sources.length, 'crown')}, ${analysis.jaw} arch`;
  return analysis.sources[0]?.fileName ?? 'scan';
}

/** `2026-11-25T13:40:00Z` to `2026-11-25, 13:40 UTC`; anything else stays as it is. */
function dateWords(iso: string | null): string {
  if (iso === null) return 'undated';
  const match = /^(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2})(?::\d{2}(?:\.\d+)?)?Z$/.exec(iso);
  return match ? `${match[1]}, ${match[2]} UTC` : iso;
}

function answerBlock({ analysis, plan, numbering }: ReportInput): string {
  const rest = contactsRemainder(analysis, numbering).map((sentence) => `<li>${sentenceHtml(sentence)}</li>`);
  return `<div class="answer"><h1>${sentenceHtml(contactsHeadline(analysis, numbering))}</h1>${
    plan ? `<p class="second">${sentenceHtml(planHeadline(plan, numbering))}</p>` : ''
  }<ul>${rest.join('')}</ul></div>`;
}

function factsList({ analysis, numbering }: ReportInput): string {
  const { health, sources, teeth, missing } = analysis;
  const names = (list: readonly number[]) => list.map((tooth) => formatTooth(tooth, numbering)).join(', ');
  const fixed = teeth.filter((record) => record.fixed).map((record) => record.tooth);
  const rows: (readonly [string, string])[] = [
    [sources.length > 1 ? 'files' : 'file', sources.map((source) => source.fileName).join(', ')],
    ['arch', `${analysis.jaw}, ${countWords(teeth.length, 'tooth', 'teeth')}`],
  ];
  if (missing.length > 0) rows.push(['missing', names(missing)]);
  if (fixed.length > 0) rows.push(['fixed', names(fixed)]);
  rows.push(
    ['limit', `${formatMm(analysis.settings.limitMm)} mm`],
    ['tooth numbers', NUMBERING_WORDS[numbering]],
  );
  if (health) {
    rows.push([
      'surface',
      `${grouped(health.triangles)} triangles, median edge ${formatMm(health.medianEdgeMm)} mm, ${grouped(health.openEdges)} open edges`,
    ]);
  }
  const unit = sources[0]?.unit;
  if (unit) rows.push(['unit', unit.sentence]);
  const found = [...(health?.findings ?? []), ...analysis.warnings];
  for (const [k, warning] of found.entries()) {
    rows.push([k === 0 ? 'checks' : '', sentenceIn(warning, numbering)]);
  }
  const list = rows.map(([name, value]) => `<dt>${name}</dt><dd>${escapeText(value)}</dd>`).join('');
  const hash =
    sources.length === 1 && sources[0]
      ? `<dt>SHA-256</dt><dd class="hash">${escapeText(sources[0].sha256)}</dd>`
      : '';
  return `<dl class="facts">${list}${hash}</dl>`;
}

/** Digits in groups of three: `279,984`. */
function grouped(value: number): string {
  return String(value).replace(/\B(?=(\d{3})+$)/g, ',');
}

function refusalSection(sentence: string | undefined): string {
  if (!sentence) return '';
  return `<section><h2>Closure</h2><p>No closure plan: ${escapeText(sentence)}</p></section>`;
}

/** The record prints the cautions once, at its end. */
function noteWithoutCautions(plan: ClosurePlan, { analysis, numbering, scanName }: ReportInput): string {
  const words = { before: '', after: '', ...(scanName === undefined ? {} : { scanName }) };
  return writeClosureNote(plan, analysis, numbering, words).split('\n\nPlease note:')[0] ?? '';
}

function methodLine(analysis: Analysis): string {
  const bases = [...new Set(analysis.contacts.flatMap(({ gap }) => (gap ? [BASIS_WORDS[gap.basis]] : [])))];
  const space = bases.length > 0 ? `Space: ${bases.join('; or ')}. ` : '';
  const { scanner } = analysis.settings;
  const neverMm = scanner ? neverBridgedMm(scanner) : null;
  const bridges =
    neverMm === null ? 'what it never bridges is not known' : `bridges nothing from ${formatMm(neverMm)} mm`;
  const terms = scanner
    ? `Scanner: ${scanner.name}, waviness ${scanner.wavinessMm.toFixed(3)} mm per wall, systematic within ${scanner.systematicHalfWidthMm.toFixed(3)} mm below ${formatMm(scanner.systematicBelowMm)} mm, ${bridges}. `
    : 'Scanner: not calibrated, stated assumptions. ';
  return `Method. ${space}${terms}U is the expanded uncertainty with k = 2, about 95 %. A contact is open if space − U exceeds the limit, closed if space + U is below it, undecided between; a bridged contact gets an upper bound, never a number. Closure: rigid crowns in the occlusal plane, resistance by root surface, drawn together by a chain over the span.`;
}

function hashLine(analysis: Analysis): string {
  return analysis.sources.map((source) => `${source.fileName}: SHA-256 ${source.sha256}.`).join(' ');
}

/** What every printed page carries at its foot, where the browser knows margin boxes. Letters, digits, dots only. */
function runningFoot({ version, analysis }: ReportInput): string {
  const safe = (text: string) => text.replace(/[^A-Za-z0-9.+-]/g, '');
  const hash = safe(analysis.sources[0]?.sha256.slice(0, 16) ?? '');
  return `@page{@bottom-left{content:"Archgap ${safe(version)}, SHA-256 ${hash}";font:7.5pt sans-serif;color:#59636a}@bottom-right{content:counter(page) " of " counter(pages);font:7.5pt sans-serif;color:#59636a}}`;
}
