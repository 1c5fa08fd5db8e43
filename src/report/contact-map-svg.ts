import type { ContactMap } from '../contacts/contact-map.ts';
import { escapeText } from './escape-text.ts';
import { px, svgText } from './svg-path.ts';

/** Scale of the drawing, and its least reach about the place, mm. */
const PX_PER_MM = 32;
const LEAST_HALF_MM = 3.5;
const MARGIN_MM = 0.4;
const FOOT_PX = 26;

/** Names of the bands from the deepest to the farthest; the classes are `cm-band-0` to `cm-band-3`. */
export const MAP_BAND_WORDS = ['overlap', 'within 0.02 mm', '0.02 to 0.05 mm', '0.05 to 0.20 mm'] as const;

/**
 * One wall of a contact by its distance from the neighbour, as an SVG element with classes `cm-...`; colours come from the
 * stylesheet round it. Cheek or lip to the right, crowns' tops upwards.
 * @param title - what it shows, also for those who listen
 */
export function contactMapSvg(map: ContactMap, title: string): string {
  const { left, right, top, bottom } = boundsOf(map);
  const x = (u: number): number => (u - left) * PX_PER_MM;
  const y = (v: number): number => (top - v) * PX_PER_MM;
  const [width, height] = [x(right), y(bottom)];
  const path = (flat: readonly number[]): string => {
    let d = '';
    for (let i = 0; i < flat.length; i += 2) {
      d += `${i === 0 ? 'M' : 'L'}${px(x(flat[i]!))} ${px(y(flat[i + 1]!))}`;
    }
    return `${d}Z`;
  };
  const crown = map.outline ? `<path class="cm-crown" d="${path(map.outline)}"/>` : '';
  // From the farthest to the deepest: what presses lies on top.
  const bands = map.bands.map(({ pieces }, k) =>
    pieces.length === 0 ? '' : `<path class="cm-band cm-band-${k}" d="${pieces.map(path).join('')}"/>`,
  );
  const place = map.point ? cross(x(map.point[0]), y(map.point[1])) : '';
  return `<svg class="cm" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${px(width)} ${px(height + FOOT_PX)}" role="img" aria-label="${escapeText(title)}"><svg width="${px(width)}" height="${px(height)}" overflow="hidden">${crown}${bands.reverse().join('')}${place}</svg><path class="cm-scale" d="M6 ${px(height + 6)}v4h${PX_PER_MM}v-4"/>${svgText('cm-text', 12 + PX_PER_MM, height + 13, '1 mm', 'start')}${svgText('cm-text', width - 4, height + 13, 'cheek or lip →', 'end')}</svg>`;
}

function cross(x: number, y: number): string {
  return `<path class="cm-place" d="M${px(x - 6)} ${px(y)}h12M${px(x)} ${px(y - 6)}v12"/>`;
}

/** What is near the neighbour, and some of the crown round the place. */
function boundsOf({ bands, point }: ContactMap) {
  const [u, v] = point ?? [0, 0];
  const bounds = {
    left: u - LEAST_HALF_MM,
    right: u + LEAST_HALF_MM,
    bottom: v - LEAST_HALF_MM,
    top: v + LEAST_HALF_MM,
  };
  for (const piece of bands.flatMap(({ pieces }) => pieces)) {
    for (let i = 0; i < piece.length; i += 2) {
      bounds.left = Math.min(bounds.left, piece[i]! - MARGIN_MM);
      bounds.right = Math.max(bounds.right, piece[i]! + MARGIN_MM);
      bounds.bottom = Math.min(bounds.bottom, piece[i + 1]! - MARGIN_MM);
      bounds.top = Math.max(bounds.top, piece[i + 1]! + MARGIN_MM);
    }
  }
  return bounds;
}
