import type { ChainBody, ChainContact } from '../../src/closure/chain-model.ts';
import type { Vec2 } from '../../src/closure/plane.ts';
import { rootAreaMm2 } from '../../src/closure/root-areas.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';

/** Upper arch 17 to 27; textbook mesiodistal widths (Ash and Nelson; facts 4a, from memory but for U1 and U2). */
export const UPPER_14: readonly ToothNumber[] = [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27];
const HALF_WIDTHS = [9, 10, 7, 7, 7.5, 6.5, 8.5];
export const TEXTBOOK_WIDTHS: readonly number[] = [...HALF_WIDTHS, ...HALF_WIDTHS.slice().reverse()];

/** Beta curve of the arch, Braun et al. 1998: Y = 3.0314 D [(1/2 + X/W)(1/2 - X/W)]^0.8 (2^1.6 = 3.0314...). */
function betaCurve(widthMm: number, depthMm: number): (arcMm: number) => Vec2 {
  // Parameter phi: X = W/2 sin(phi) keeps the steep ends smooth; arc length by fine summation.
  const n = 20_000;
  const point = (phi: number): Vec2 => {
    const s = Math.sin(phi);
    return [(widthMm / 2) * s, depthMm * (1 - s * s) ** 0.8];
  };
  const arcs = new Float64Array(n + 1);
  let previous = point(-Math.PI / 2);
  for (let i = 1; i <= n; i += 1) {
    const next = point(-Math.PI / 2 + (Math.PI * i) / n);
    arcs[i] = arcs[i - 1]! + Math.hypot(next[0] - previous[0], next[1] - previous[1]);
    previous = next;
  }
  const middle = arcs[n]! / 2;
  return (arcMm) => {
    const wanted = middle + arcMm;
    let low = 0;
    let high = n;
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (arcs[mid]! <= wanted) low = mid;
      else high = mid;
    }
    const t = (wanted - arcs[low]!) / (arcs[high]! - arcs[low]!);
    return point(-Math.PI / 2 + (Math.PI * (low + t)) / n);
  };
}

export interface TextbookArch {
  readonly teeth: readonly ToothNumber[];
  readonly centres: readonly Vec2[];
  /** Per contact, right to left: distal/mesial ends of the neighbouring widths on the curve. */
  readonly pointsA: readonly Vec2[];
  readonly pointsB: readonly Vec2[];
  readonly gaps: readonly number[];
}

/** Teeth laid along the beta curve, widths and spaces one after the other, centred by arc length. */
export function textbookArch(
  gaps: readonly number[],
  shape: { W: number; D: number } = { W: 60, D: 45 },
  widths: readonly number[] = TEXTBOOK_WIDTHS,
  teeth: readonly ToothNumber[] = UPPER_14,
): TextbookArch {
  const at = betaCurve(shape.W, shape.D);
  const total = widths.reduce((a, b) => a + b, 0) + gaps.reduce((a, b) => a + b, 0);
  let arc = -total / 2;
  const centres: Vec2[] = [];
  const starts: Vec2[] = [];
  const ends: Vec2[] = [];
  widths.forEach((width, i) => {
    starts.push(at(arc));
    centres.push(at(arc + width / 2));
    ends.push(at(arc + width));
    arc += width + (gaps[i] ?? 0);
  });
  return { teeth, centres, pointsA: ends.slice(0, -1), pointsB: starts.slice(1), gaps };
}

/** The whole arch as one chain: bodies with root areas, every contact drawn to zero. */
export function chainOf(
  arch: TextbookArch,
  fixed: readonly ToothNumber[] = [],
): { bodies: ChainBody[]; contacts: ChainContact[] } {
  const bodies = arch.teeth.map((tooth, i) => ({
    centre: arch.centres[i]!,
    resistance: rootAreaMm2(tooth),
    fixed: fixed.includes(tooth),
  }));
  const contacts = arch.gaps.map((gapMm, k): ChainContact => {
    const [a, b] =
      gapMm > 0 ? [arch.pointsA[k]!, arch.pointsB[k]!] : [arch.centres[k]!, arch.centres[k + 1]!];
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return {
      a: k,
      b: k + 1,
      pointA: arch.pointsA[k]!,
      pointB: arch.pointsB[k]!,
      direction: [(b[0] - a[0]) / size, (b[1] - a[1]) / size],
      gapMm,
      kind: 'draw',
      targetMm: 0,
    };
  });
  return { bodies, contacts };
}
