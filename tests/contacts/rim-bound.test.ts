import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { pairBorders, proximalWall } from '../../src/contacts/proximal-wall.ts';
import { type RimBound, rimBound } from '../../src/contacts/rim-bound.ts';
import type { Web } from '../../src/contacts/web-between.ts';
import { makeWallPair, quarticWall } from '../helpers/wall-pair.ts';

const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };

/** Two walls that touch at the origin, 0.8 / 2 r^2 deep each, and a web around it whose ridge is a ring. */
function boundFor(
  ringMm: number,
  { low = false, noiseMm = 0, few = false, capMm = 0.5 } = {},
): RimBound | null {
  const wall = quarticWall(0.8, 0.8, 0, 0);
  const { mesh, labels } = makeWallPair({ a: wall, b: wall, gapMm: 0, edgeMm: 0.1, noiseMm, seed: 3 });
  const arch = prepareArchSurface(mesh, labels);
  const ridge = Float64Array.from({ length: 3 * 180 }, (_, i) => {
    const angle = (2 * Math.PI * Math.floor(i / 3)) / 180;
    return [0, ringMm * Math.cos(angle), ringMm * Math.sin(angle)][i % 3]!;
  });
  const web: Web = {
    state: 'full',
    ridge,
    border: ridge,
    papilla: new Float64Array(0),
    doubtful: null,
    heightMm: 1,
    widthMm: 1,
    middle: [0, 0, 0],
  };
  const [a, b] = [arch.teeth.get(11)!, arch.teeth.get(21)!];
  const borders = pairBorders(a, b, web);
  const wallA = proximalWall(arch, a, FRAME, 1, borders);
  const wallB = proximalWall(arch, b, FRAME, -1, borders);
  // what lies inside the ring was hidden by the web: it is no wall
  const hide = (w: typeof wallA) => ({
    ...w,
    webMm: w.webMm.map((d, i) => {
      const v = 3 * w.vertices[i]!;
      return Math.hypot(mesh.positions[v + 1]!, mesh.positions[v + 2]!) < ringMm ? 0 : d;
    }),
  });
  // and of which only a patch of a few points was scanned
  const scanned = (w: typeof wallA) => {
    if (!few) return w;
    const kept = [...w.vertices.keys()].filter((i) => {
      const v = 3 * w.vertices[i]!;
      return (
        Math.abs(mesh.positions[v + 1]!) < 0.15 && Math.abs(mesh.positions[v + 2]! - ringMm - 0.55) < 0.14
      );
    });
    return {
      ...w,
      vertices: Uint32Array.from(kept, (i) => w.vertices[i]!),
      facing: Float32Array.from(kept, (i) => w.facing[i]!),
      gumMm: Float32Array.from(kept, (i) => w.gumMm[i]!),
      cutMm: Float32Array.from(kept, (i) => w.cutMm[i]!),
      webMm: Float32Array.from(kept, (i) => w.webMm[i]!),
    };
  };
  return rimBound(arch, scanned(hide(wallA)), scanned(hide(wallB)), 0.1, capMm, { low });
}

describe('rimBound', () => {
  it('is the clearance a third of a millimetre outside the web plus the allowance: closed form', () => {
    // the walls are 2 * 0.4 r^2 apart at radius r; nearest usable points lie about 0.35 mm outside the ring
    const expected = 2 * 0.4 * 0.55 ** 2 + 0.03;
    const { mm: found, basis } = boundFor(0.2)!;
    expect(basis).toBe('rim');
    // usable triangles begin up to one edge farther out; the shortest line is a little shorter than the one along t
    expect(found).toBeGreaterThan(expected - 0.02);
    expect(found).toBeLessThan(2 * 0.4 * 0.7 ** 2 + 0.03);
  });

  it('is not more than the scanner leaves unbridged, where a web is plausible', () => {
    // about 0.8 (0.6 + 0.35)^2 + 0.03 along t, less along the shortest line
    expect(boundFor(0.6)).toEqual({ mm: 0.5, basis: 'scanner' });
    expect(boundFor(0.4)!.mm).toBeLessThan(0.5);
  });

  it('is nothing where the rim is too wide for any web of this scanner', () => {
    expect(boundFor(0.9)).toBeNull();
  });

  it('allows for the noise of the walls', () => {
    const [clean, noisy] = [boundFor(0.2)!, boundFor(0.2, { noiseMm: 0.02 })!];
    // a minimum over 20 um of noise is 40 to 100 um short; the truth at the rim stays below the bound
    expect(noisy.mm).toBeGreaterThan(clean.mm - 0.03);
  });

  it('of a low web is what is seen higher up, and what scanners never bridge does not lower it', () => {
    const [usual, low] = [boundFor(0.2)!, boundFor(0.2, { low: true })!];
    expect(low.basis).toBe('rim');
    expect(low.mm).toBeGreaterThan(usual.mm + 0.2);
    expect(boundFor(0.3, { low: true })!.mm).toBeGreaterThan(0.5);
  });

  it('is only what scanners never bridge where the rim is too few points to tell their noise; of a low web nothing', () => {
    expect(boundFor(0.2, { few: true })).toEqual({ mm: 0.5, basis: 'scanner' });
    expect(boundFor(0.55, { low: true, few: true })).toBeNull();
    expect(boundFor(0.9, { few: true })).toBeNull();
  });

  it('of a scanner of which nobody knows what it never bridges is the rim, however wide, or nothing finite', () => {
    const capMm = Number.POSITIVE_INFINITY;
    expect(boundFor(0.2, { capMm })).toEqual(boundFor(0.2));
    expect(boundFor(0.9, { capMm })).toMatchObject({ basis: 'rim' });
    expect(boundFor(0.2, { capMm, few: true })!.mm).toBe(capMm);
  });

  it('grows with the web', () => {
    expect(boundFor(0.3)!.mm).toBeGreaterThan(boundFor(0.15)!.mm);
  });
});
