import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import { boundAllowance } from '../../src/contacts/bound-allowance.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { pairBorders, proximalWall, wallRegion } from '../../src/contacts/proximal-wall.ts';
import type { Web } from '../../src/contacts/web-between.ts';
import { closestBetween, indexSurface } from '../../src/geometry/surface-distance.ts';
import { makeWallPair, quarticWall } from '../helpers/wall-pair.ts';

const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };
const NONE = new Float64Array(0);
const NO_WEB: Web = {
  state: 'none',
  ridge: NONE,
  border: NONE,
  papilla: NONE,
  doubtful: null,
  heightMm: null,
  widthMm: null,
  middle: null,
};
const GAP_MM = 0.2;

/** Two scanned walls 0.2 mm apart: what is seen between them, and what is allowed for. */
function seen(noiseMm: number, seed: number, leastMm = 0, scannerU95Mm = 0) {
  const wall = quarticWall(0.2, 0.2, 0, 0);
  const { mesh, labels } = makeWallPair({ a: wall, b: wall, gapMm: GAP_MM, edgeMm: 0.1, noiseMm, seed });
  const arch = prepareArchSurface(mesh, labels);
  const borders = pairBorders(arch.teeth.get(11)!, arch.teeth.get(21)!, NO_WEB);
  const region = (tooth: number, sign: 1 | -1) =>
    wallRegion(arch, proximalWall(arch, arch.teeth.get(tooth)!, FRAME, sign, borders), {
      gumMm: 0,
      webMm: 0,
      facing: 0.6,
    });
  const [a, b] = [region(11, 1), region(21, -1)];
  const near = closestBetween(indexSurface(mesh, a.triangles), indexSurface(mesh, b.triangles));
  const allowanceMm = boundAllowance(arch, a, b, near, 0.1, leastMm, scannerU95Mm);
  return { distanceMm: near.distanceMm, allowanceMm };
}

describe('boundAllowance', () => {
  it('is three of the root sum of squares of both walls’ scatter: closed form', () => {
    const found = [1, 2, 3, 4, 5].map((seed) => seen(0.02, seed).allowanceMm);
    const mean = found.reduce((sum, mm) => sum + mm, 0) / found.length;
    expect(mean).toBeGreaterThan(0.85 * 3 * Math.SQRT2 * 0.02);
    expect(mean).toBeLessThan(1.15 * 3 * Math.SQRT2 * 0.02);
  });

  it('makes a bound of an exact minimum that noise shortened: 40 scans of one true space', () => {
    let short = 0;
    for (let seed = 1; seed <= 40; seed += 1) {
      const { distanceMm, allowanceMm } = seen(0.02, seed);
      if (distanceMm < GAP_MM - 0.03) short += 1;
      expect(distanceMm + allowanceMm).toBeGreaterThan(GAP_MM);
    }
    // the noise matters here: a fixed 0.03 mm would not have been enough on most of them
    expect(short).toBeGreaterThan(20);
  });

  it('adds what the scanner does to both walls alike, and is never less than the least', () => {
    const noise = seen(0.02, 1).allowanceMm;
    expect(seen(0.02, 1, 0, 0.03).allowanceMm).toBeCloseTo(Math.hypot(noise, 0.03), 12);
    expect(seen(0, 1, 0.03).allowanceMm).toBe(0.03);
    expect(seen(0.02, 1, 0.5).allowanceMm).toBe(0.5);
  });
});
