import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import { spaceUnderGum } from '../../src/contacts/closing-trend.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { pairBorders, proximalWall } from '../../src/contacts/proximal-wall.ts';
import { webBetween } from '../../src/contacts/web-between.ts';
import { makeWallPair, type WallShape } from '../helpers/wall-pair.ts';

const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };
const GUM_MM = -1;

/** Walls whose space grows upwards by `slope` per millimetre and opens to the sides; gum below z = -1. */
function underGum(slope: number, gumMm = GUM_MM): number | null {
  const wall: WallShape = { depth: (y, z) => 0.1 * y * y + (slope / 2) * z };
  const pair = makeWallPair({ a: wall, b: wall, gapMm: 0.5, edgeMm: 0.15, noiseMm: 0.005, seed: 4 });
  const { mesh } = pair;
  const labels = pair.labels.map((label, t) => {
    let z = 0;
    for (let k = 0; k < 3; k += 1) z += mesh.positions[3 * mesh.triangles[3 * t + k]! + 2]! / 3;
    return z < gumMm ? 0 : label;
  });
  const arch = prepareArchSurface(mesh, labels);
  const [a, b] = [arch.teeth.get(11)!, arch.teeth.get(21)!];
  const web = webBetween(arch, 11, 21, FRAME);
  const borders = pairBorders(a, b, web);
  const wallA = proximalWall(arch, a, FRAME, 1, borders);
  const wallB = proximalWall(arch, b, FRAME, -1, borders);
  return spaceUnderGum({ arch, frame: FRAME, web, borders, wallA, wallB, edgeMm: 0.15 }, [1, 0, 0]);
}

describe('spaceUnderGum', () => {
  it('carries a space that closes towards the gum on below its margin: closed form', () => {
    // 0.5 + slope z at the margin of 0.4 mm, less 0.3 mm of slope; the end of the points may lie an edge higher
    const slope = 0.2;
    const expected = 0.5 + slope * (GUM_MM + 0.4) - 0.3 * slope;
    const found = underGum(slope)!;
    expect(found).toBeGreaterThan(expected - 0.02);
    expect(found).toBeLessThan(expected + 0.05);
  });

  it('does not carry on a space that opens, and leaves an even one as it is', () => {
    expect(underGum(-0.2)!).toBeGreaterThan(0.5 + 0.2 * 0.3);
    expect(Math.abs(underGum(0)! - 0.5)).toBeLessThan(0.03);
  });

  it('says nothing where no gum is near', () => {
    expect(underGum(0.2, -99)).toBeNull();
  });
});
