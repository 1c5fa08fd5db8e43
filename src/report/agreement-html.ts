import type { AgreementAnalysis, AgreementFigures } from '../study/assess-agreement.ts';
import type { Estimate } from '../study/limits-of-agreement.ts';
import type { RepeatedMeasurements } from '../study/repeated-measurements.ts';
import type { AgreementSource } from './agreement-json.ts';
import { agreementPlots } from './agreement-plots.ts';
import { agreementWarnings } from './agreement-warnings.ts';
import {
  type FigureUnit,
  figure,
  figureUnit,
  number,
  probability,
  ratio,
  withUnit,
} from './agreement-words.ts';
import { escapeText } from './escape-text.ts';
import { NO_NUMBER } from './format-mm.ts';
import { REPORT_STYLE } from './report-style.ts';
import { sharedScanRemark } from './shared-scan-words.ts';
import { STUDY_PLOT_STYLE } from './study-plot-frame.ts';

/** Below this a systematic difference between occasions is told. */
const LEVEL = 0.05;

const OWN_STYLE = `
.plots{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:14px;margin-top:16px}.plots svg{border:1px solid var(--rule)}
.agree th:first-child,.agree td:first-child{white-space:nowrap}.agree+.agree{margin-top:14px}.lead{margin:0 0 12px;max-width:62em}
@media (max-width:700px){.plots{grid-template-columns:minmax(0,1fr)}}
@media print{.plots svg{break-inside:avoid}}
`;

const REFERENCES = [
  'Intraclass correlation: P. Shrout, J. Fleiss, Psychol Bull 1979;86:420-428; intervals K. McGraw, S. Wong, Psychol Methods 1996;1:30-46; grades by the interval T. Koo, M. Li, J Chiropr Med 2016;15:155-163. (1) single measurement, (k) mean of all; 1 one-way, 2 occasions drawn from many, 3 these occasions only.',
  'Dahlberg’s error: G. Dahlberg, Statistical methods for medical and biological students, 1940; for more than two occasions the root of the mean square within targets. Intervals by chi-square.',
  'Repeatability coefficient: J. Bland, D. Altman, Stat Methods Med Res 1999;8:135-160; ISO 5725-6.',
  'Limits of agreement: J. Bland, D. Altman, Lancet 1986;1:307-310; intervals of the limits Stat Methods Med Res 1999;8:135-160.',
];

const CAUTIONS = [
  'A high correlation does not prove agreement: it grows with the spread of the targets. Judge by the limits of agreement.',
  'Only targets with a number on every occasion count. A contact that the scanner bridged has no number, and those are the narrow ones: figures of agreement hold for spaces that were seen.',
  'Intervals take the targets for independent. Contacts of one mouth are not quite; with few mouths the true intervals are wider.',
  'Agreement is precision. It says nothing of how near the measurements are to the truth, and of one scan clicked again only how well the clicks agree.',
];

/** The record of a study: one self-contained HTML file that prints. Every text from a table is escaped. */
export function writeAgreementHtml(
  data: RepeatedMeasurements,
  analyses: readonly AgreementAnalysis[],
  about: { readonly version: string; readonly sources: readonly AgreementSource[] },
): string {
  const version = escapeText(about.version);
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="generator" content="Archgap ${version}"><title>Agreement of ${escapeText(data.valueColumn)}</title><style>${REPORT_STYLE}${STUDY_PLOT_STYLE}${OWN_STYLE}</style></head>
<body>
<header class="top"><span><b>Archgap</b> agreement of repeated measurements</span><span>${escapeText(data.valueColumn)}</span></header>
<div class="answer"><h1>${escapeText(agreementHeadline(data, analyses))}</h1><ul>${[...agreementWarnings(data, analyses, about.sources).map(({ sentence }) => sentence), ...countSentences(data, analyses[0])].map(item).join('')}</ul></div>
${agreementParts(data, analyses)
  .map(({ heading, html }) => `<section><h2>${escapeText(heading)}</h2>${html}</section>`)
  .join('\n')}
<section class="keep"><h2>Cautions</h2><ul class="cautions">${CAUTIONS.map(item).join('')}</ul></section>
<section class="keep"><h2>Methods</h2><ul class="cautions">${REFERENCES.map(item).join('')}</ul></section>
<footer class="foot"><p>Archgap ${version}. ${escapeText(about.sources.map(({ fileName, sha256 }) => `${fileName}: SHA-256 ${sha256}.`).join(' '))}</p></footer>
</body></html>
`;
}

function item(sentence: string): string {
  return `<li>${escapeText(sentence)}</li>`;
}

/** The study in one sentence. */
export function agreementHeadline(
  data: RepeatedMeasurements,
  analyses: readonly AgreementAnalysis[],
): string {
  const unit = figureUnit(data.unit, analyses);
  const all = analyses[0];
  if (!all?.figures) return `No figures of agreement over all occasions: ${all?.refusal ?? ''}`;
  const { repeatability } = all.figures.error;
  if (Number(repeatability.value.toFixed(unit.digits)) === 0) {
    const same = `Measurements of one target are the same on all occasions to ${figure(10 ** -unit.digits, unit)}.`;
    return all.scansShared === 'all'
      ? same
      : `${same} That is no repeatability of scanning where the occasions share a scan: what did not vary cannot differ.`;
  }
  return `Two measurements of one target differ by less than ${figure(repeatability.value, unit)} in 95 of 100 cases (95 % interval ${number(repeatability.low, unit)} to ${figure(repeatability.high, unit)}).`;
}

/** What was compared, and what could not be. */
export function countSentences(
  { targets, occasionColumns }: RepeatedMeasurements,
  all: AgreementAnalysis | undefined,
): readonly string[] {
  if (all === undefined) return [];
  const sentences = [
    `${targets.length} targets, ${all.occasions.length} occasions (${occasionColumns.join(', ')}); ${all.targets.length} targets have a number on every occasion.`,
  ];
  if (all.leftOut > 0) {
    const reasons = Object.entries(all.reasons).map(
      ([reason, count]) => `${reason} ${count === 1 ? 'once' : `${count} times`}`,
    );
    const onSome =
      all.numberOnSome === 0
        ? 'None of these has a number on any occasion'
        : `${all.numberOnSome} of these ${all.numberOnSome === 1 ? 'has' : 'have'} a number on some occasions only`;
    sentences.push(
      `${all.leftOut} ${all.leftOut === 1 ? 'is' : 'are'} left out, nothing is filled in: ${reasons.join(', ')}. ${onSome}.`,
    );
  }
  return sentences;
}

/** Every comparison with its heading, and its figures and plots as HTML in which every text of a table is escaped. */
export function agreementParts(
  data: RepeatedMeasurements,
  analyses: readonly AgreementAnalysis[],
): { readonly heading: string; readonly html: string }[] {
  const unit = figureUnit(data.unit, analyses);
  return analyses.map((analysis, k) => analysisPart(analysis, k, unit));
}

function analysisPart(analysis: AgreementAnalysis, index: number, unit: FigureUnit) {
  const heading = analysis.factor === null ? 'All occasions' : `By ${analysis.name}`;
  const { figures } = analysis;
  if (figures === null) {
    return { heading, html: `<p>${escapeText(analysis.refusal ?? '')}</p>` };
  }
  const plots = agreementPlots(analysis, index, unit).map(({ svg }) => svg);
  const html = `<p class="lead">${escapeText(leadOf(analysis, figures, unit))}</p>${iccTable(figures)}${errorTable(figures, unit)}${limitsTable(analysis, figures, unit)}<div class="plots">${plots.join('')}</div>`;
  return { heading, html };
}

function leadOf(analysis: AgreementAnalysis, { error }: AgreementFigures, unit: FigureUnit): string {
  const { targets, occasions, leftOut } = analysis;
  const counts = `${targets.length} targets with a number on all of ${occasions.join(', ')}; ${leftOut} left out.${sharedScanRemark(analysis)}`;
  const test = error.occasionTest;
  if (test === null) return counts;
  const verdict =
    test.p < LEVEL
      ? `The occasions differ systematically; without that the error would be ${figure(error.random.value, unit)}.`
      : 'No systematic difference between the occasions is shown.';
  return `${counts} ${verdict} (F ${test.f.toFixed(2)} with ${test.df1} and ${test.df2} degrees of freedom, P ${probability(test.p)})`;
}

const LACK_WORDS = {
  'no-scatter': 'none: no scatter is left to judge by',
  'out-of-range': 'none: its limits are no correlations',
  'step-up': 'none: negative correlation',
} as const;

function iccTable({ icc }: AgreementFigures): string {
  if (icc === null) return '<p>No intraclass correlation: all targets measured alike.</p>';
  const rows = icc.map(({ form, value, interval, lack, test }) => {
    const range = interval ? `${ratio(interval[0])} to ${ratio(interval[1])}` : lack && LACK_WORDS[lack];
    const tested = test ? `${test.f.toFixed(1)} (${test.df1}, ${test.df2})` : NO_NUMBER;
    return `<tr><td>ICC(${form})</td><td>${value === null ? NO_NUMBER : ratio(value)}</td><td>${range ?? NO_NUMBER}</td><td>${tested}</td><td>${test ? probability(test.p) : NO_NUMBER}</td></tr>`;
  });
  return tableOf(['correlation', 'value', '95 % interval', 'F (degrees of freedom)', 'P'], rows);
}

function errorTable({ error }: AgreementFigures, unit: FigureUnit): string {
  const rows = [
    estimateRow('Dahlberg’s error', error.dahlberg, unit),
    estimateRow('the same without systematic differences', error.random, unit),
    estimateRow('repeatability coefficient', error.repeatability, unit),
  ];
  return tableOf([withUnit('scatter', unit), 'value', '95 % interval'], rows);
}

function limitsTable(
  { occasions }: AgreementAnalysis,
  { pairs }: AgreementFigures,
  unit: FigureUnit,
): string {
  const cell = ({ value, low, high }: Estimate) =>
    `<td>${number(value, unit)} <span class="remark">(${number(low, unit)} to ${number(high, unit)})</span></td>`;
  const rows = pairs.map(
    ({ first, second, bias, lower, upper, slope }) =>
      `<tr><td>${escapeText(`${occasions[first]} − ${occasions[second]}`)}</td>${cell(bias)}${cell(lower)}${cell(upper)}${slope ? `<td>${slopeWords(slope)}</td>` : `<td>${NO_NUMBER}</td>`}</tr>`,
  );
  return tableOf(
    [withUnit('difference', unit), 'bias (95 % interval)', 'lower limit', 'upper limit', 'grows with size'],
    rows,
  );
}

/** Whether the difference changes with the size of the target. */
function slopeWords(slope: Estimate): string {
  const sure = slope.low > 0 || slope.high < 0;
  return sure ? `by ${ratio(slope.value)} of it` : 'not shown';
}

function estimateRow(name: string, { value, low, high }: Estimate, unit: FigureUnit): string {
  return `<tr><td>${name}</td><td>${number(value, unit)}</td><td>${number(low, unit)} to ${number(high, unit)}</td></tr>`;
}

function tableOf(heads: readonly string[], rows: readonly string[]): string {
  return `<table class="agree"><thead><tr>${heads.map((head) => `<th>${escapeText(head)}</th>`).join('')}</tr></thead><tbody>${rows.join('')}</tbody></table>`;
}
