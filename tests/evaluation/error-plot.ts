import { scaleLinear } from 'd3-scale';
import { gapError, type JudgedContact } from './judge-spaces.ts';

const WIDTH = 720;
const HEIGHT = 320;
const LEFT = 64;
const RIGHT = 16;
const TOP = 16;
const BOTTOM = 48;
/** Errors shown to either side, um. */
const MOST_UM = 60;
const MOST_SPACE_MM = 0.8;

/** Error of every measured space over the true one, with its expanded uncertainty as a bar; an SVG document. */
export function errorPlot(judged: readonly JudgedContact[], title: string): string {
  const x = scaleLinear([0, MOST_SPACE_MM], [LEFT, WIDTH - RIGHT]);
  const y = scaleLinear([-MOST_UM, MOST_UM], [HEIGHT - BOTTOM, TOP]);
  const lines: string[] = [];
  for (const um of y.ticks(6))
    lines.push(
      `<line x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${y(um).toFixed(1)}" y2="${y(um).toFixed(1)}" stroke="${um === 0 ? '#444' : '#ddd'}"/>`,
      `<text x="${LEFT - 8}" y="${(y(um) + 4).toFixed(1)}" text-anchor="end">${um}</text>`,
    );
  for (const mm of x.ticks(8))
    lines.push(
      `<text x="${x(mm).toFixed(1)}" y="${HEIGHT - BOTTOM + 18}" text-anchor="middle">${mm.toFixed(1)}</text>`,
    );
  for (const one of judged) {
    const error = gapError(one);
    if (error === null) continue;
    const u = 1000 * one.contact.gap!.u95Mm;
    const at = x(Math.min(MOST_SPACE_MM, one.truth.gapMm)).toFixed(1);
    const um = 1000 * error;
    const colour = Math.abs(um) > u ? '#b3261e' : '#1f5fa8';
    const inside = (value: number): string => y(Math.max(-MOST_UM, Math.min(MOST_UM, value))).toFixed(1);
    lines.push(
      `<line x1="${at}" x2="${at}" y1="${inside(um - u)}" y2="${inside(um + u)}" stroke="${colour}" stroke-opacity="0.45"/>`,
      `<circle cx="${at}" cy="${inside(um)}" r="3" fill="${colour}"/>`,
    );
  }
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="12">`,
    `<title>${title}</title>`,
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>`,
    ...lines,
    `<text x="${(LEFT + WIDTH - RIGHT) / 2}" y="${HEIGHT - 10}" text-anchor="middle">true space, mm</text>`,
    `<text x="14" y="${(TOP + HEIGHT - BOTTOM) / 2}" text-anchor="middle" transform="rotate(-90 14 ${(TOP + HEIGHT - BOTTOM) / 2})">measured minus true, µm; bars: U (k = 2)</text>`,
    '</svg>',
    '',
  ].join('\n');
}
