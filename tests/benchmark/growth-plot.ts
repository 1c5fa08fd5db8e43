import { scaleLog } from 'd3-scale';
import { line } from 'd3-shape';
import type { SizeResult } from './stages.ts';

const WIDTH = 780;
const HEIGHT = 420;
const LEFT = 64;
const RIGHT = 290;
const TOP = 16;
const BOTTOM = 48;
const COLOURS = ['#1f5fa8', '#b3261e', '#2e7d32', '#8e5d00', '#6a3fa0', '#00707a', '#555', '#a8327d'];
/** A line of slope one from the leftmost size shows what n takes. */
const GUIDE_MS = 100;

/** Least time of every stage over the number of triangles, both logarithmic; an SVG document. */
export function growthPlot(sizes: readonly SizeResult[]): string {
  const counts = sizes.map(({ triangles }) => triangles);
  const names = [...new Set(sizes.flatMap(({ timings }) => timings.map(({ name }) => name)))].filter(
    (name) => pointsOf(sizes, name).length > 1,
  );
  const all = names.flatMap((name) => pointsOf(sizes, name).map(([, ms]) => ms));
  const x = scaleLog([Math.min(...counts), Math.max(...counts)], [LEFT, WIDTH - RIGHT]);
  const y = scaleLog([Math.min(...all) / 1.5, Math.max(...all) * 1.5], [HEIGHT - BOTTOM, TOP]);
  const at = (value: number): string => value.toFixed(1);
  const path = line<readonly [number, number]>(
    ([n]) => x(n),
    ([, ms]) => y(ms),
  );
  const parts: string[] = [];
  for (const ms of [1, 10, 100, 1000, 10_000].filter(
    (tick) => tick >= y.domain()[0]! && tick <= y.domain()[1]!,
  )) {
    parts.push(
      `<line x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${at(y(ms))}" y2="${at(y(ms))}" stroke="#ddd"/>`,
      `<text x="${LEFT - 8}" y="${at(y(ms) + 4)}" text-anchor="end">${ms}</text>`,
    );
  }
  for (const n of counts) {
    parts.push(
      `<text x="${at(x(n))}" y="${HEIGHT - BOTTOM + 18}" text-anchor="middle">${(n / 1e6).toFixed(2)}</text>`,
    );
  }
  const [least, most] = [counts[0]!, counts.at(-1)!];
  parts.push(
    `<path d="${path([
      [least, GUIDE_MS],
      [most, (GUIDE_MS * most) / least],
    ])}" fill="none" stroke="#888" stroke-dasharray="4 4"/>`,
  );
  for (const [k, name] of names.entries()) {
    const colour = COLOURS[k % COLOURS.length]!;
    const points = pointsOf(sizes, name);
    const dash = k < COLOURS.length ? '' : ' stroke-dasharray="2 2"';
    parts.push(`<path d="${path(points)}" fill="none" stroke="${colour}" stroke-width="1.5"${dash}/>`);
    for (const [n, ms] of points)
      parts.push(`<circle cx="${at(x(n))}" cy="${at(y(ms))}" r="2.5" fill="${colour}"/>`);
    const row = TOP + 14 + 18 * k;
    parts.push(
      `<line x1="${WIDTH - RIGHT + 16}" x2="${WIDTH - RIGHT + 40}" y1="${row - 4}" y2="${row - 4}" stroke="${colour}" stroke-width="1.5"${dash}/>`,
      `<text x="${WIDTH - RIGHT + 46}" y="${row}">${name}</text>`,
    );
  }
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="11">`,
    '<title>Time of every stage over the size of the scan</title>',
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>`,
    ...parts,
    `<text x="${(LEFT + WIDTH - RIGHT) / 2}" y="${HEIGHT - 10}" text-anchor="middle">million triangles; dashed: in proportion to n</text>`,
    `<text x="14" y="${(TOP + HEIGHT - BOTTOM) / 2}" text-anchor="middle" transform="rotate(-90 14 ${(TOP + HEIGHT - BOTTOM) / 2})">least time, ms</text>`,
    '</svg>',
    '',
  ].join('\n');
}

function pointsOf(sizes: readonly SizeResult[], name: string): [number, number][] {
  return sizes.flatMap(({ triangles, timings }) => {
    const found = timings.find((timing) => timing.name === name);
    return found === undefined ? [] : [[triangles, found.leastMs] as [number, number]];
  });
}
