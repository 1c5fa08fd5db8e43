import { scaleLinear } from 'd3-scale';
import type { ContactChange } from '../contacts/compare-contacts.ts';
import type { Contact } from '../contacts/types.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { changeWords } from './change-words.ts';
import { pairLabel } from './contact-words.ts';
import { escapeText } from './escape-text.ts';
import { formatMm } from './format-mm.ts';
import { px, svgText } from './svg-path.ts';

/**
 * Every contact as a column with two marks, before (hollow) and now (solid), each with its interval; a web is a bar from
 * nothing up to what could hide there. The line between the marks shows the way it went.
 */
const MARGIN = { left: 44, right: 12, top: 16, bottom: 34 } as const;
const LEAST_AXIS_MM = 0.4;
/** Half the distance of the two marks of a contact, px. */
const APART_PX = 9;

export function renderChangePlotSvg(
  changes: readonly ContactChange[],
  size: { readonly widthPx: number; readonly heightPx: number },
  numbering: NumberingScheme,
): string {
  const tops = changes.flatMap(({ before, after }) => [topOf(before), topOf(after)]);
  const axisMm = Math.max(LEAST_AXIS_MM, ...tops) * 1.08;
  const limitMm = changes.find(({ after }) => after !== null)?.after?.limitMm ?? null;
  const y = scaleLinear([0, axisMm], [size.heightPx - MARGIN.bottom, MARGIN.top]).clamp(true);
  const step = (size.widthPx - MARGIN.left - MARGIN.right) / Math.max(1, changes.length);
  const right = size.widthPx - MARGIN.right;
  const out = y
    .ticks(5)
    .flatMap((tick) => [
      `<line class="cp-grid${tick === 0 ? ' cp-zero' : ''}" x1="${MARGIN.left}" y1="${px(y(tick))}" x2="${right}" y2="${px(y(tick))}"/>`,
      svgText('cp-tick', MARGIN.left - 7, y(tick) + 3.5, formatMm(tick), 'end'),
    ]);
  if (limitMm !== null) {
    out.push(
      `<line class="cp-limit" x1="${MARGIN.left}" y1="${px(y(limitMm))}" x2="${right}" y2="${px(y(limitMm))}"/>`,
    );
  }
  for (const [k, change] of changes.entries()) {
    const x = MARGIN.left + (k + 0.5) * step;
    const told = change.before?.status === 'open' || change.after?.status === 'open';
    out.push(
      `<g class="${told ? 'cp-open' : 'cp-closed'}"><title>${escapeText(`${pairLabel(change.toothA, change.toothB, numbering)}: ${changeWords(change)}`)}</title>`,
      stateMark(change.before, x - APART_PX, y, false),
      stateMark(change.after, x + APART_PX, y, true),
      wayBetween(change, x, y),
      svgText(
        'cp-tooth-label',
        x,
        size.heightPx - 12,
        pairLabel(change.toothA, change.toothB, numbering),
        'middle',
      ),
      '</g>',
    );
  }
  return `<svg class="cp" viewBox="0 0 ${size.widthPx} ${size.heightPx}" role="img" aria-label="Space at every contact before and now, millimetres">${out.join('')}</svg>`;
}

type Scale = (mm: number) => number;

function topOf(contact: Contact | null): number {
  if (contact === null) return 0;
  return contact.gap ? contact.gap.valueMm + contact.gap.u95Mm : (contact.upperBoundMm ?? 0);
}

function stateMark(contact: Contact | null, x: number, y: Scale, isNew: boolean): string {
  if (contact === null) return '';
  const { gap, upperBoundMm } = contact;
  if (gap) {
    const [low, high] = [y(gap.valueMm - gap.u95Mm), y(gap.valueMm + gap.u95Mm)];
    const at = y(gap.valueMm);
    return `<path class="cp-whisker" d="M${px(x)} ${px(low)}V${px(high)}"/><path class="cp-symbol ${isNew ? 'cp-filled' : 'cp-hollow'}" d="M${px(x - 4.5)} ${px(at)}a4.5 4.5 0 1 0 9 0a4.5 4.5 0 1 0 -9 0Z"/>`;
  }
  if (upperBoundMm === null) return '';
  const top = y(upperBoundMm);
  return `<rect class="cp-band${isNew ? ' cp-now' : ''}" x="${px(x - 5)}" y="${px(top)}" width="10" height="${px(y(0) - top)}"/>${isNew ? `<path class="cp-cap" d="M${px(x - 5)} ${px(top)}h10"/>` : ''}`;
}

/** A thin line from mark to mark where both spaces were measured. */
function wayBetween({ before, after }: ContactChange, x: number, y: Scale): string {
  if (!before?.gap || !after?.gap) return '';
  return `<path class="cp-whisker" d="M${px(x - APART_PX + 4.5)} ${px(y(before.gap.valueMm))}L${px(x + APART_PX - 4.5)} ${px(y(after.gap.valueMm))}"/>`;
}
