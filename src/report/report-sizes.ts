import { archIndices } from '../contacts/arch-indices.ts';
import type { BoltonRatio } from '../contacts/bolton.ts';
import type { Analysis } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { escapeText } from './escape-text.ts';
import { formatMm, formatU95, NO_NUMBER } from './format-mm.ts';

const BOLTON_NAMES: Readonly<Record<BoltonRatio['kind'], string>> = {
  overall: 'Bolton, twelve teeth (6 to 6)',
  anterior: 'Bolton, six teeth (3 to 3)',
};

/** A size with its interval, or a dash. */
export function sizeWords(valueMm: number | null, u95Mm: number | null): string {
  if (valueMm === null) return NO_NUMBER;
  return u95Mm === null ? formatMm(valueMm) : `${formatMm(valueMm)} ± ${formatU95(u95Mm)}`;
}

/** One row of the indices, as text. */
export interface IndexRow {
  readonly name: string;
  readonly value: string;
  readonly remark: string;
  readonly definition: string;
}

/** The indices of one arch as rows of text; those without a value say why. */
export function indexRows(analysis: Analysis): IndexRow[] {
  return archIndices(analysis).map((index) => ({
    name: index.name,
    value: index.valueMm === null ? NO_NUMBER : `${sizeWords(index.valueMm, index.u95Mm)} mm`,
    remark: index.reason ?? index.grade ?? '',
    definition: `${index.definition} ${index.source}`,
  }));
}

/** Bolton's ratios as rows of text. */
export function boltonRows(ratios: readonly BoltonRatio[]): IndexRow[] {
  return ratios.map(({ kind, percent, u95Percent, excess, deviations, reason }) => ({
    name: BOLTON_NAMES[kind],
    value:
      percent === null
        ? NO_NUMBER
        : `${percent.toFixed(1)}${u95Percent === null ? '' : ` ± ${u95Percent.toFixed(1)}`} %`,
    remark:
      reason ??
      (excess === null || deviations === null
        ? ''
        : `${sizeWords(excess.mm, excess.u95Mm)} mm too much tooth width in the ${excess.jaw} arch at the mean ratio${excess.u95Mm !== null && excess.u95Mm >= excess.mm ? ', no more than the uncertainty' : ''}; ${Math.abs(deviations).toFixed(1)} standard deviations ${deviations < 0 ? 'below' : 'above'} the mean`),
    definition:
      '100 × sum of the lower mesiodistal widths by the sum of the upper ones. Means 91.3 ± 1.91 and 77.2 ± 1.65 %: Bolton 1958, Angle Orthod 28:113, and 1962; beyond two standard deviations potentially significant: Freeman 1996.',
  }));
}

/** The folded part of the record with the crowns' sizes and the indices of the arch. */
export function sizesSection(analysis: Analysis, numbering: NumberingScheme): string {
  const head = analysis.teeth
    .map(({ tooth }) => `<th>${escapeText(formatTooth(tooth, numbering))}</th>`)
    .join('');
  const row = (name: string, cells: readonly (number | null)[]) =>
    `<tr><td>${name}</td>${cells.map((cell) => `<td class="num">${cell === null ? NO_NUMBER : formatMm(cell)}</td>`).join('')}</tr>`;
  const { teeth } = analysis;
  const sizes = [
    row(
      'mesiodistal',
      teeth.map(({ mesiodistalMm }) => mesiodistalMm),
    ),
    row(
      '±',
      teeth.map(({ sizesU95Mm }) => sizesU95Mm?.mesiodistal ?? null),
    ),
    row(
      'buccolingual',
      teeth.map(({ buccolingualMm }) => buccolingualMm),
    ),
    row(
      'height above gum',
      teeth.map(({ crownHeightMm }) => crownHeightMm),
    ),
  ].join('');
  const indices = indexRows(analysis)
    .map(
      ({ name, value, remark, definition }) =>
        `<tr><td>${escapeText(name)}</td><td class="num">${escapeText(value)}</td><td class="remark">${escapeText([remark, definition].filter((text) => text !== '').join('. '))}</td></tr>`,
    )
    .join('');
  return `<section class="keep sizes"><h2>Sizes and indices</h2><div class="scroll"><table><caption>Crowns, millimetres; ± is the expanded uncertainty of the mesiodistal width, k = 2.</caption><thead><tr><th></th>${head}</tr></thead><tbody>${sizes}</tbody></table></div><table class="indices"><thead><tr><th class="l">of the arch</th><th>value</th><th class="l">class or reason, definition, source</th></tr></thead><tbody>${indices}</tbody></table></section>`;
}
