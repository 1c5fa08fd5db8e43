import { formatTooth } from '../teeth/notation.ts';
import { sentenceIn } from '../teeth/sentence-in.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { MEASURING_CAUTIONS } from './cautions.ts';
import { escapeText, sentenceHtml } from './escape-text.ts';
import type { FitRecord } from './fit-json.ts';
import {
  fitAdvice,
  fitNoteWords,
  fitReachWords,
  fitSpaceWords,
  fitStatusWords,
  targetWords,
} from './fit-words.ts';
import { formatMmOr, formatSignedMm, NO_NUMBER } from './format-mm.ts';
import { renderSectionSvg } from './render-section-svg.ts';
import { SECTION_SIZE } from './report-contacts.ts';
import { REPORT_STYLE } from './report-style.ts';
import { sectionPicture } from './section-svg.ts';
import { wallMaps } from './wall-maps.ts';

/** The record of a restoration against its neighbours: one self-contained HTML file without scripts. */
export function writeFitHtml(
  record: FitRecord,
  options: { readonly numbering: NumberingScheme; readonly version: string; readonly createdAt: string },
): string {
  const { numbering, version } = options;
  const name = escapeText(record.restoration.fileName);
  const answer = record.sides
    .filter(({ neighbour }) => neighbour !== null)
    .map((side) => `${side.side} ${fitStatusWords(side)}`)
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
    const remark = [advice, fitReachWords(side, record.target), ...side.notes.map(fitNoteWords)]
      .filter((words) => words !== '')
      .join('; ');
    return `<tr><td>${side.side}</td><td class="l">${against}</td><td class="word"><b>${fitStatusWords(side)}</b></td>${cells.map((cell) => `<td class="num">${cell}</td>`).join('')}</tr>${remark === '' ? '' : `<tr><td></td><td colspan="8" class="remark">${escapeText(remark)}</td></tr>`}`;
  });
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="generator" content="Archgap ${escapeText(version)}"><title>${name}: fit of a restoration</title><style>${REPORT_STYLE}</style></head>
<body>
<header class="top"><span><b>Archgap</b> fit of a restoration</span><span>${name}</span><span>${escapeText(options.createdAt.slice(0, 10))}</span></header>
<div class="answer"><h1>${sentenceHtml(`${formatTooth(record.tooth, numbering)}: ${answer}.`)}</h1><p class="second">Wanted ${targetWords(record.target)}; minus means that it presses.</p><ul>${record.warnings.map((warning) => `<li>${escapeText(sentenceIn(warning, numbering))}</li>`).join('')}</ul></div>
<section><h2>Sides</h2><div class="scroll"><table><caption>Millimetres and square millimetres; ± is the expanded uncertainty, k = 2. Add: plus is to be added, minus taken off, to meet the middle of the target.</caption><thead><tr><th>side</th><th class="l">against</th><th class="l">fit</th><th>space</th><th>add</th><th>below<br>occlusal</th><th>to cheek<br>or lip</th><th>area within<br>0.02 mm</th><th>area within<br>0.05 mm</th></tr></thead><tbody>${sides.join('')}</tbody></table></div></section>
${sideFigures(record, numbering)}
<section class="keep"><h2>Cautions</h2><ul class="cautions">${MEASURING_CAUTIONS.map(
    (caution) => `<li>${escapeText(caution)}</li>`,
  ).join('')}</ul><div class="sign"><span>reviewed by</span><span>date</span></div></section>
<footer class="foot"><p>Method. The restoration stands in the place of its tooth; the space is the smallest distance of patches fitted to both walls, one of them scanned. Walls that touch or cross are measured with the restoration drawn back along their common normal. Areas count the restoration’s triangles, overlap included.</p><p>Archgap ${escapeText(version)}. ${escapeText([record.restoration, record.scan].map((source) => `${source.fileName}: SHA-256 ${source.sha256}.`).join(' '))}</p></footer>
</body></html>
`;
}

/** The cut and the wall of every side that has a neighbour. Empty without any. */
function sideFigures({ tooth, sides, views, target }: FitRecord, numbering: NumberingScheme): string {
  const name = (number: number) => formatTooth(number, numbering);
  const figures = sides.flatMap((side, index) => {
    const view = views[index];
    if (!view || side.neighbour === null) return [];
    const model = sectionPicture(view.section, view.contact, SECTION_SIZE, numbering);
    const value = fitSpaceWords(side)?.replace(/ (±.*)$/, ' <small>$1</small>') ?? NO_NUMBER;
    const advice = fitAdvice(side, target);
    const remark = [advice, view.contact.gap === null ? '' : model.remark]
      .filter((words) => words !== '')
      .map((words) => `<p class="note">${escapeText(words)}</p>`)
      .join('');
    const caption = `${name(tooth)}, its ${side.side} wall as ${name(side.neighbour)} sees it`;
    const walls = wallMaps(view.map === null ? [] : [{ map: view.map, caption }]);
    const heading = escapeText(`${side.side} against ${name(side.neighbour)}`);
    return [
      `<figure class="cut with-walls">${renderSectionSvg(model, `f${index}`)}<figcaption><h3>${heading}, ${fitStatusWords(side)}</h3><p class="big">${value}</p>${remark}</figcaption>${walls}</figure>`,
    ];
  });
  if (figures.length === 0) return '';
  return `<section><h2>Sides in pictures</h2><p class="remark">The cut along the arch, and the restoration’s wall with cheek or lip to the right, crown tops up. Distances between corners of the triangles are taken as linear.</p>${figures.join('')}</section>`;
}
