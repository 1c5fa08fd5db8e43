import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { MEASURING_CAUTIONS } from './cautions.ts';
import { escapeText, sentenceHtml } from './escape-text.ts';
import type { FitRecord } from './fit-json.ts';
import { FIT_WORDS, fitAdvice, fitNoteWords, fitSpaceWords, targetWords } from './fit-words.ts';
import { formatMmOr, formatSignedMm, NO_NUMBER } from './format-mm.ts';
import { REPORT_STYLE } from './report-style.ts';

/** The record of a restoration against its neighbours: one self-contained HTML file without scripts. */
export function writeFitHtml(
  record: FitRecord,
  options: { readonly numbering: NumberingScheme; readonly version: string; readonly createdAt: string },
): string {
  const { numbering, version } = options;
  const name = escapeText(record.restoration.fileName);
  const answer = record.sides
    .filter(({ neighbour }) => neighbour !== null)
    .map(({ side, status }) => `${side} ${FIT_WORDS[status]}`)
    .join(', ');
  const sides = record.sides.map((side) => {
    const cells = [
      fitSpaceWords(side)?.replace(/ mm$/, '') ?? NO_NUMBER,
      side.addMm === null ? NO_NUMBER : formatSignedMm(side.addMm),
      formatMmOr(side.heightMm),
      side.buccalMm === null ? NO_NUMBER : formatSignedMm(side.buccalMm),
      formatMmOr(side.within20umMm2),
      formatMmOr(side.within50umMm2),
    ];
    const against = side.neighbour === null ? NO_NUMBER : escapeText(formatTooth(side.neighbour, numbering));
    const advice = fitAdvice(side, record.target);
    const remark = [...(advice === '' ? [] : [advice]), ...side.notes.map(fitNoteWords)].join('; ');
    return `<tr><td>${side.side}</td><td class="l">${against}</td><td class="word"><b>${FIT_WORDS[side.status]}</b></td>${cells.map((cell) => `<td class="num">${cell}</td>`).join('')}</tr>${remark === '' ? '' : `<tr><td></td><td colspan="8" class="remark">${escapeText(remark)}</td></tr>`}`;
  });
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="generator" content="Archgap ${escapeText(version)}"><title>${name}: fit of a restoration</title><style>${REPORT_STYLE}</style></head>
<body>
<header class="top"><span><b>Archgap</b> fit of a restoration</span><span>${name}</span><span>${escapeText(options.createdAt.slice(0, 10))}</span></header>
<div class="answer"><h1>${sentenceHtml(`${formatTooth(record.tooth, numbering)}: ${answer}.`)}</h1><p class="second">Wanted ${targetWords(record.target)}; minus means that it presses.</p><ul>${record.warnings.map(({ sentence }) => `<li>${escapeText(sentence)}</li>`).join('')}</ul></div>
<section><h2>Sides</h2><div class="scroll"><table><caption>Millimetres and square millimetres; ± is the expanded uncertainty, k = 2. Add: plus is to be added, minus taken off, to meet the middle of the target.</caption><thead><tr><th>side</th><th class="l">against</th><th class="l">fit</th><th>space</th><th>add</th><th>below<br>occlusal</th><th>to cheek<br>or lip</th><th>area within<br>0.02 mm</th><th>area within<br>0.05 mm</th></tr></thead><tbody>${sides.join('')}</tbody></table></div></section>
<section class="keep"><h2>Cautions</h2><ul class="cautions">${MEASURING_CAUTIONS.map(
    (caution) => `<li>${escapeText(caution)}</li>`,
  ).join(
    '',
  )}<li>The target is narrower than most scans can settle; the interval says how far.</li></ul><div class="sign"><span>reviewed by</span><span>date</span></div></section>
<footer class="foot"><p>Method. The restoration stands in the place of its tooth; the space is the smallest distance of patches fitted to both walls, one of them scanned. Walls that touch or cross are measured with the restoration drawn back along their common normal. Areas count the restoration’s triangles, overlap included.</p><p>Archgap ${escapeText(version)}. ${escapeText([record.restoration, record.scan].map((source) => `${source.fileName}: SHA-256 ${source.sha256}.`).join(' '))}</p></footer>
</body></html>
`;
}
