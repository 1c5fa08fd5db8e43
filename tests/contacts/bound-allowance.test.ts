import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import { boundAllowance } from '../../src/contacts/bound-allowance.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { pairBorders, proximalWall, type WallRegion, wallRegion } from '../../src/contacts/proximal-wall.ts';
import type { Web } from '../../src/contacts/web-between.ts';
import { closestBetween, indexSurface } from '../../src/geometry/surface-distance.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { makeWallPair, quarticWall, type WallShape } from '../helpers/wall-pair.ts';

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

interface Walls {
  readonly noiseMm: number;
  readonly edgeMm?: number;
  /** Half the curvature of both walls, 1/mm. */
  readonly bend?: number;
  /** Another shape than a bent wall. */
  readonly shape?: WallShape;
  readonly leastMm?: number;
  readonly scannerU95Mm?: number;
  /** What is left of either wall inside the margins, by its place across; all of it unless stated. */
  readonly left?: (y: number, z: number) => boolean;
  /** Nothing but that was scanned. */
  readonly cut?: boolean;
}

/** A region with the triangles and places that are left of it. */
function leftOf(
  region: WallRegion,
  mesh: TriangleMesh,
  { left = () => true, cut = false }: Walls,
): WallRegion {
  const { wall } = region;
  const isLeft = (v: number) => left(mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!);
  const places = region.places.filter((place) => isLeft(wall.vertices[place]!));
  const triangles = region.triangles.filter((t) => mesh.triangles.slice(3 * t, 3 * t + 3).every(isLeft));
  if (!cut) return { ...region, places, triangles };
  const vertices = places.map((place) => wall.vertices[place]!);
  return { ...region, wall: { ...wall, vertices }, places: Uint32Array.from(vertices.keys()), triangles };
}

/** Two scanned walls 0.2 mm apart: what is seen between them, and what is allowed for. */
function seen(seed: number, walls: Walls) {
  const { noiseMm, edgeMm = 0.1, bend = 0.2, leastMm = 0, scannerU95Mm = 0 } = walls;
  const wall = walls.shape ?? quarticWall(bend, bend, 0, 0);
  const { mesh, labels } = makeWallPair({ a: wall, b: wall, gapMm: GAP_MM, edgeMm, noiseMm, seed });
  const arch = prepareArchSurface(mesh, labels);
  const borders = pairBorders(arch.teeth.get(11)!, arch.teeth.get(21)!, NO_WEB);
  const region = (tooth: number, sign: 1 | -1) => {
    const wall = proximalWall(arch, arch.teeth.get(tooth)!, FRAME, sign, borders);
    return leftOf(wallRegion(arch, wall, { gumMm: 0, webMm: 0, facing: 0.6 }), mesh, walls);
  };
  const [a, b] = [region(11, 1), region(21, -1)];
  const near = closestBetween(indexSurface(mesh, a.triangles), indexSurface(mesh, b.triangles));
  const allowanceMm = boundAllowance(arch, a, b, near, edgeMm, leastMm, scannerU95Mm);
  return { distanceMm: near.distanceMm, allowanceMm, points: a.places.length };
}

const meanAllowance = (walls: Walls) =>
  [1, 2, 3, 4, 5].reduce((sum, seed) => sum + seen(seed, walls).allowanceMm!, 0) / 5;

describe('boundAllowance', () => {
  it('is the extreme of the root sum of squares of both walls’ scatter over the points that compete', () => {
    // About 1.2 points per square edge on each of two walls; places up to 6 x 0.028 mm farther apart than the nearest
    // lie within 0.65 mm of it where both walls bend by 0.2 u^2: some 300 points at 0.1 mm, 80 at 0.2 mm. The normal
    // quantiles of 0.975^(1/300) and 0.975^(1/80), from tables: 3.76 and 3.42.
    const combined = Math.SQRT2 * 0.02;
    expect(Math.abs(meanAllowance({ noiseMm: 0.02 }) / combined / 3.76 - 1)).toBeLessThan(0.08);
    expect(Math.abs(meanAllowance({ noiseMm: 0.02, edgeMm: 0.2 }) / combined / 3.42 - 1)).toBeLessThan(0.08);
  });

  it('grows with the number of points, and with how flat the walls are', () => {
    const usual = meanAllowance({ noiseMm: 0.02 });
    expect(meanAllowance({ noiseMm: 0.02, edgeMm: 0.05 })).toBeGreaterThan(usual);
    expect(meanAllowance({ noiseMm: 0.02, bend: 0.05 })).toBeGreaterThan(usual);
  });

  it.each([
    { edgeMm: 0.1, bend: 0.2, noiseMm: 0.02, scans: 40 },
    { edgeMm: 0.1, bend: 0.05, noiseMm: 0.02, scans: 20 },
    { edgeMm: 0.05, bend: 0.2, noiseMm: 0.02, scans: 12 },
    { edgeMm: 0.05, bend: 0.2, noiseMm: 0.01, scans: 12 },
  ])(
    'makes a bound of an exact minimum that noise shortened: $scans scans of one true space, $edgeMm mm edges, bend $bend, $noiseMm mm noise',
    ({ scans, ...walls }) => {
      let short = 0;
      for (let seed = 1; seed <= scans; seed += 1) {
        const { distanceMm, allowanceMm } = seen(seed, walls);
        if (distanceMm < GAP_MM - 0.03) short += 1;
        expect(distanceMm + allowanceMm!).toBeGreaterThan(GAP_MM);
      }
      // the noise matters here: a fixed 0.03 mm would not have been enough on most of them
      expect(short).toBeGreaterThan(scans / 2);
    },
  );

  it('adds what the scanner does to both walls alike, and is never less than the least', () => {
    const noise = seen(1, { noiseMm: 0.02 }).allowanceMm!;
    expect(seen(1, { noiseMm: 0.02, scannerU95Mm: 0.03 }).allowanceMm).toBeCloseTo(
      Math.hypot(noise, 0.03),
      12,
    );
    expect(seen(1, { noiseMm: 0, leastMm: 0.03 }).allowanceMm).toBe(0.03);
    expect(seen(1, { noiseMm: 0.02, leastMm: 0.5 }).allowanceMm).toBe(0.5);
  });

  it('reads the noise of walls of which little is left inside the margins from what lies beyond them', () => {
    let short = 0;
    for (let seed = 1; seed <= 12; seed += 1) {
      const left = (y: number, z: number) => Math.hypot(y, z) < 0.5;
      const { distanceMm, allowanceMm, points } = seen(seed, {
        noiseMm: 0.04,
        edgeMm: 0.3,
        leastMm: 0.03,
        left,
      });
      // a paraboloid takes ten
      expect(points).toBeLessThan(14);
      if (distanceMm < GAP_MM - 0.03) short += 1;
      expect(distanceMm + allowanceMm!).toBeGreaterThan(GAP_MM);
    }
    expect(short).toBeGreaterThan(2);
  });

  it('bounds nothing where too little of a wall was scanned to tell its noise', () => {
    const few = (y: number, z: number) => Math.hypot(y, z) < 0.4;
    const walls = { noiseMm: 0.04, edgeMm: 0.3, leastMm: 0.03, left: few };
    for (const seed of [1, 2, 3]) {
      expect(seen(seed, walls).allowanceMm).not.toBeNull();
      expect(seen(seed, { ...walls, cut: true }).allowanceMm).toBeNull();
    }
  });

  it('counts the points beside a place from which both walls fall away ever more slowly', () => {
    // Both walls fall away from the edge of what is left by 0.15 mm within half a millimetre, then run level: paraboloids
    // fitted to 0.8 mm of that and carried on cross each other.
    const shape = { depth: (_: number, z: number) => 0.15 * (1 - Math.exp(-Math.max(0, z) / 0.25)) };
    const walls = { noiseMm: 0.02, shape, left: (_: number, z: number) => z > 0 };
    let sum = 0;
    for (const seed of [1, 2, 3, 4, 5]) sum += seen(seed, walls).allowanceMm!;
    // Up to 6 x 0.028 mm farther apart than the nearest lie the first 0.21 mm, over 3.2 mm of the window: some 155 points
    // on both walls, quantile of 0.975^(1/155) from tables: 3.60 (3.4 where walls that cross count as the nearest).
    expect(sum / 5 / (Math.SQRT2 * 0.02)).toBeGreaterThan(3.5);
  });
});
