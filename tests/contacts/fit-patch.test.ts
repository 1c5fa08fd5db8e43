import { describe, expect, it } from 'vitest';
import { fitPatch, patchAt, patchVariances, type WindowPoints } from '../../src/contacts/fit-patch.ts';
import { TUKEY_COVARIANCE_FACTOR, TUKEY_VARIANCE_SHARE } from '../../src/contacts/tolerances.ts';
import { TUKEY_CUT } from '../../src/geometry/robust-scale.ts';
import { seededNormal, seededRandom } from '../helpers/random.ts';

const R = 1;
const EDGE = 0.2;

/** Points spread over the disc of radius R, heights by a function of (u, v). */
function sample(
  count: number,
  seed: number,
  height: (u: number, v: number, i: number) => number,
): WindowPoints {
  const random = seededRandom(seed);
  const uvz = new Float64Array(3 * count);
  for (let i = 0; i < count; i += 1) {
    const r = R * Math.sqrt(random());
    const a = 2 * Math.PI * random();
    const u = r * Math.cos(a);
    const v = r * Math.sin(a);
    uvz.set([u, v, height(u, v, i)], 3 * i);
  }
  return { uvz, count };
}

const quartic = (u: number, v: number) =>
  0.02 +
  0.1 * u -
  0.05 * v +
  0.3 * u * u -
  0.1 * u * v +
  0.2 * v * v +
  0.05 * u ** 3 -
  0.02 * u * v * v +
  0.04 * v ** 4;

describe('fitPatch', () => {
  it('returns a quartic exactly, with its derivatives', () => {
    const fitted = fitPatch(sample(60, 1, quartic), 4, R, EDGE)!;
    for (const [u, v] of [
      [0, 0],
      [0.3, -0.4],
      [-0.7, 0.5],
    ] as const) {
      const at = patchAt(fitted.patch, u, v);
      expect(at.z).toBeCloseTo(quartic(u, v), 10);
      expect(at.zu).toBeCloseTo(0.1 + 0.6 * u - 0.1 * v + 0.15 * u * u - 0.02 * v * v, 9);
      expect(at.zv).toBeCloseTo(-0.05 - 0.1 * u + 0.4 * v - 0.04 * u * v + 0.16 * v ** 3, 9);
      expect(at.zuu).toBeCloseTo(0.6 + 0.3 * u, 8);
      expect(at.zuv).toBeCloseTo(-0.1 - 0.04 * v, 8);
      expect(at.zvv).toBeCloseTo(0.4 - 0.04 * u + 0.48 * v * v, 8);
    }
  });

  it('is not drawn by a few wild points', () => {
    const wild = sample(80, 2, (u, v, i) => quartic(u, v) + (i % 16 === 0 ? 0.3 : 0));
    const normal = seededNormal(3);
    for (let i = 0; i < wild.count; i += 1) wild.uvz[3 * i + 2]! += 0.01 * normal();
    const { patch } = fitPatch(wild, 4, R, EDGE)!;
    expect(Math.abs(patchAt(patch, 0, 0).z - quartic(0, 0))).toBeLessThan(0.02);
  });

  it('states the scatter of its own value: 400 fits to white noise', () => {
    const sigma = 0.01;
    let claimed = 0;
    let seen = 0;
    let slopeClaimed = 0;
    let slopeSeen = 0;
    const trials = 400;
    for (let seed = 0; seed < trials; seed += 1) {
      const normal = seededNormal(seed + 5000);
      const fitted = fitPatch(
        sample(90, seed, (u, v) => quartic(u, v) + sigma * normal()),
        4,
        R,
        EDGE,
      )!;
      const error = fitted.error()!;
      const variances = patchVariances(fitted.patch, error, 0.1, -0.1);
      const at = patchAt(fitted.patch, 0.1, -0.1);
      claimed += variances.height / trials;
      seen += (at.z - quartic(0.1, -0.1)) ** 2 / trials;
      slopeClaimed += variances.slopes[0] / trials;
      slopeSeen += (at.zu - (0.1 + 0.06 + 0.01 + 0.0015 - 0.0002)) ** 2 / trials;
    }
    // The relative error of a variance from 400 normal trials is about 7 %.
    expect(claimed / seen).toBeGreaterThan(0.8);
    expect(claimed / seen).toBeLessThan(1.3);
    expect(slopeClaimed / slopeSeen).toBeGreaterThan(0.8);
    expect(slopeClaimed / slopeSeen).toBeLessThan(1.3);
  });

  it('has the right constants for the weights: quadrature of the normal distribution', () => {
    const mean = (f: (r: number, w: number) => number): number => {
      const steps = 20000;
      let sum = 0;
      for (let i = 0; i < steps; i += 1) {
        const r = TUKEY_CUT * ((2 * (i + 0.5)) / steps - 1);
        const w = (1 - (r / TUKEY_CUT) ** 2) ** 2;
        sum += f(r, w) * Math.exp((-r * r) / 2);
      }
      return (sum * 2 * TUKEY_CUT) / steps / Math.sqrt(2 * Math.PI);
    };
    const w1 = mean((_, w) => w);
    const wr = mean((r, w) => w * r * r);
    const w2 = mean((_, w) => w * w);
    const psi = mean((r, w) => (w * r) ** 2);
    expect(wr / w1).toBeCloseTo(TUKEY_VARIANCE_SHARE, 4);
    expect((psi * w1 * w1) / (wr * wr * w2)).toBeCloseTo(TUKEY_COVARIANCE_FACTOR, 4);
    // 95 % efficiency at the normal distribution, for which this cut is known
    expect((wr * wr) / psi).toBeCloseTo(0.95, 3);
  });

  it('says when the points do not determine the wall', () => {
    expect(fitPatch(sample(18, 1, quartic), 4, R, EDGE)).toBeNull();
    const line = sample(60, 1, () => 0);
    for (let i = 0; i < line.count; i += 1) line.uvz[3 * i + 1] = 0;
    expect(fitPatch(line, 4, R, EDGE)).toBeNull();
    expect(
      fitPatch(
        sample(18, 1, () => 0.5),
        2,
        R,
        EDGE,
      ),
    ).not.toBeNull();
  });
});
