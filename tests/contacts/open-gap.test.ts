import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { measurePair, type PairMeasurement } from '../../src/contacts/measure-pair.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import { dot, sub } from '../../src/geometry/vec3.ts';
import {
  ellipsoidWall,
  makeWallPair,
  quarticWall,
  sphereWall,
  type WallPairSpec,
} from '../helpers/wall-pair.ts';

const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };
const SHAPES = [sphereWall(3), sphereWall(5), ellipsoidWall(3, 4, 2.5), quarticWall(0.4, 0.2, 0.01, 0.02)];

function measure(spec: WallPairSpec, frame = FRAME): PairMeasurement {
  const { mesh, labels } = makeWallPair(spec);
  const arch = prepareArchSurface(mesh, labels);
  return measurePair(arch, arch.teeth.get(11)!, arch.teeth.get(21)!, frame, UNCALIBRATED_SCANNER, 0.1);
}

interface Trials {
  readonly biasMm: number;
  readonly sdMm: number;
  /** Share of trials whose true space lies within twice the computed part of u (fit and model). */
  readonly coveredByFit: number;
  /** Share within the whole U. */
  readonly covered: number;
  readonly meshBiasMm: number;
}

function simulate(
  count: number,
  spec: Pick<WallPairSpec, 'edgeMm' | 'noiseMm' | 'waveMm' | 'waveLengthMm'>,
): Trials {
  const errors: number[] = [];
  let coveredByFit = 0;
  let covered = 0;
  let meshBiasMm = 0;
  for (let k = 0; k < count; k += 1) {
    // gaps spread evenly over 0.15 to 1 mm by the golden ratio, all pairs of shapes in turn
    const gapMm = 0.15 + 0.85 * ((k * 0.618034) % 1);
    const a = SHAPES[k % 4]!;
    const b = SHAPES[Math.floor(k / 4) % 4]!;
    const result = measure({ ...spec, a, b, gapMm, seed: k + 17, halfSizeMm: 1.7 });
    const { valueMm, u95Mm, terms } = result.gap!;
    const error = valueMm - gapMm;
    errors.push(error);
    const own = terms.filter((term) => term.name === 'fit' || term.name === 'model');
    if (Math.abs(error) <= 2 * Math.hypot(...own.map((term) => term.standardMm))) coveredByFit += 1;
    if (Math.abs(error) <= u95Mm) covered += 1;
    meshBiasMm += (result.nearestMm! - gapMm) / count;
  }
  const biasMm = errors.reduce((sum, e) => sum + e, 0) / count;
  const sdMm = Math.sqrt(errors.reduce((sum, e) => sum + (e - biasMm) ** 2, 0) / (count - 1));
  return { biasMm, sdMm, coveredByFit: coveredByFit / count, covered: covered / count, meshBiasMm };
}

describe('the space between fitted walls, closed-form walls', () => {
  it('is exact up to truncation without noise', () => {
    for (const [i, a] of SHAPES.entries()) {
      const { gap, clearanceMm, nearestMm, angleRad } = measure({
        a,
        b: SHAPES[(i + 1) % 4]!,
        gapMm: 0.4,
        edgeMm: 0.2,
        noiseMm: 0,
        seed: i,
      });
      expect(Math.abs(gap!.valueMm - 0.4)).toBeLessThan(0.0015);
      expect(Math.abs(clearanceMm! - 0.4)).toBeLessThan(0.0015);
      // flat facets between points on the walls leave the mesh a little wider
      expect(nearestMm! - 0.4).toBeGreaterThan(-1e-6);
      expect(nearestMm! - 0.4).toBeLessThan(0.01);
      expect(angleRad).toBeLessThan(0.02);
    }
  });

  it('does not care where the walls lie nor how they are turned', () => {
    const spec = { a: SHAPES[0]!, b: SHAPES[2]!, gapMm: 0.3, edgeMm: 0.2, noiseMm: 0.01, seed: 3 };
    const still = measure(spec);
    const motion = rotationAbout([1, 2, 3], [0.3, -1, 0.4], 1.1, [20, -30, 5]);
    const turned: ContactFrame = {
      t: rotateDirection(motion, FRAME.t),
      o: rotateDirection(motion, FRAME.o),
      b: rotateDirection(motion, FRAME.b),
    };
    const moved = measure({ ...spec, motion }, turned);
    expect(Math.abs(moved.gap!.valueMm - still.gap!.valueMm)).toBeLessThan(2e-5);
    expect(Math.abs(moved.clearanceMm! - still.clearanceMm!)).toBeLessThan(2e-5);
    expect(Math.abs(moved.nearestMm! - still.nearestMm!)).toBeLessThan(2e-5);
    expect(Math.abs(moved.gap!.u95Mm - still.gap!.u95Mm)).toBeLessThan(2e-4);
  });

  it('measures along the shortest line and the closing direction apart', () => {
    // the walls face each other along x; closing 20 degrees off x needs gap / cos(20) for nearly flat walls
    const angle = (20 * Math.PI) / 180;
    const flat = quarticWall(0.02, 0.02, 0, 0);
    const frame: ContactFrame = {
      t: [Math.cos(angle), Math.sin(angle), 0],
      o: [0, 0, 1],
      b: [-Math.sin(angle), Math.cos(angle), 0],
    };
    const result = measure({ a: flat, b: flat, gapMm: 0.5, edgeMm: 0.2, noiseMm: 0, seed: 2 }, frame);
    expect(result.gap!.valueMm).toBeCloseTo(0.5, 3);
    expect(Math.abs(result.clearanceMm! - 0.5 / Math.cos(angle))).toBeLessThan(0.004);
    expect(result.angleRad).toBeCloseTo(angle, 2);
    expect(result.notes).toContain('angle');
    expect(dot(sub(result.pointB!, result.pointA!), [1, 0, 0])).toBeCloseTo(0.5, 3);
  });

  it('refuses edges above 0.35 mm, but not what is plainly open', () => {
    const spec = { a: SHAPES[0]!, b: SHAPES[1]!, edgeMm: 0.42, noiseMm: 0.01, seed: 5, halfSizeMm: 3 };
    const small = measure({ ...spec, gapMm: 0.4 });
    expect(small).toMatchObject({ gap: null, notes: ['coarse'] });
    expect(small.upperBoundMm).toBeGreaterThan(0.4);
    const wide = measure({ ...spec, gapMm: 3 });
    expect(wide.gap).toMatchObject({ basis: 'mesh-minimum' });
    expect(Math.abs(wide.gap!.valueMm - 3)).toBeLessThan(wide.gap!.u95Mm);
  });

  it('refuses a surface that is too rough', () => {
    const result = measure({ a: SHAPES[0]!, b: SHAPES[1]!, gapMm: 0.6, edgeMm: 0.2, noiseMm: 0.07, seed: 5 });
    expect(result.gap).toBeNull();
    expect(result.notes).toContain('rough');
  });
});

describe('simulated coverage, fixed seeds', () => {
  const white = [
    { edgeMm: 0.15, noiseMm: 0.005, count: 40 },
    { edgeMm: 0.2, noiseMm: 0.01, count: 80 },
    { edgeMm: 0.2, noiseMm: 0.02, count: 80 },
    { edgeMm: 0.3, noiseMm: 0.02, count: 80 },
    { edgeMm: 0.1, noiseMm: 0.02, count: 20 },
  ];
  for (const { count, ...spec } of white) {
    it(`white noise ${1000 * spec.noiseMm} um, edges ${spec.edgeMm} mm: no bias, interval from the residuals honest`, () => {
      const seen = simulate(count, spec);
      console.log(`${JSON.stringify(spec)}: ${JSON.stringify(seen)}`);
      expect(Math.abs(seen.biasMm)).toBeLessThan(0.001 + (3 * seen.sdMm) / Math.sqrt(count));
      expect(Math.abs(seen.biasMm)).toBeLessThan(0.005);
      // three binomial standard errors below 95 %
      expect(seen.coveredByFit).toBeGreaterThan(0.95 - 3 * Math.sqrt((0.95 * 0.05) / count));
      if (spec.noiseMm >= 0.02 && spec.edgeMm <= 0.2) expect(seen.meshBiasMm).toBeLessThan(-0.03);
    });
  }

  for (const waveLengthMm of [0.4, 2]) {
    it(`10 um noise on 6 um waves of ${waveLengthMm} mm: residuals do not show them, the budget does`, () => {
      const count = 200;
      const seen = simulate(count, { edgeMm: 0.2, noiseMm: 0.01, waveMm: 0.006, waveLengthMm });
      console.log(`waves of ${waveLengthMm} mm: ${JSON.stringify(seen)}`);
      expect(Math.abs(seen.biasMm)).toBeLessThan(0.005);
      expect(seen.coveredByFit).toBeLessThan(0.9);
      // two binomial standard errors below 95 %
      expect(seen.covered).toBeGreaterThan(0.95 - 2 * Math.sqrt((0.95 * 0.05) / count));
    });
  }
});
