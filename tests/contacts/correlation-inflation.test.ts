import { describe, expect, it } from 'vitest';
import { fitPatch, type WindowPoints } from '../../src/contacts/fit-patch.ts';
import { seededNormal, seededRandom } from '../helpers/random.ts';

const EDGE = 0.2;

function sample(count: number, seed: number, height: (u: number, v: number) => number): WindowPoints {
  const random = seededRandom(seed);
  const uvz = new Float64Array(3 * count);
  for (let i = 0; i < count; i += 1) {
    const r = Math.sqrt(random());
    const a = 2 * Math.PI * random();
    uvz.set([r * Math.cos(a), r * Math.sin(a), height(r * Math.cos(a), r * Math.sin(a))], 3 * i);
  }
  return { uvz, count };
}

const inflation = (points: WindowPoints) => fitPatch(points, 4, 1, EDGE)!.error()!.inflation;

describe('correlationInflation', () => {
  it('leaves white noise alone: what the fit itself does to its residuals is taken off', () => {
    let mean = 0;
    for (let seed = 0; seed < 40; seed += 1) {
      const normal = seededNormal(seed + 900);
      const f = inflation(sample(120, seed, () => 0.01 * normal()));
      expect(f).toBeGreaterThanOrEqual(1);
      mean += f / 40;
    }
    expect(mean).toBeLessThan(1.1);
  });

  it('grows when neighbouring points go together', () => {
    let mean = 0;
    for (let seed = 0; seed < 20; seed += 1) {
      const wave = (u: number, v: number) => 0.01 * Math.sin(9 * u + seed) * Math.cos(8 * v - seed);
      mean += inflation(sample(150, seed, wave)) / 20;
    }
    expect(mean).toBeGreaterThan(1.35);
  });

  it('is about the number of copies when every point is there several times', () => {
    // four identical copies of each of 60 points carry the information of 60, not of 240
    const normal = seededNormal(77);
    const single = sample(60, 5, () => 0.01 * normal());
    const uvz = new Float64Array(4 * single.uvz.length);
    for (let k = 0; k < 4; k += 1) uvz.set(single.uvz, k * single.uvz.length);
    const copied: WindowPoints = { uvz, count: 240 };
    // distance class narrow enough that only copies share one
    const f = fitPatch(copied, 4, 1, 0.02)!.error()!.inflation;
    expect(f).toBeGreaterThan(3);
    expect(f).toBeLessThan(6);
  });

  it('thins very dense windows without losing the answer', () => {
    const normal = seededNormal(3);
    const dense = sample(2500, 6, () => 0.01 * normal());
    expect(fitPatch(dense, 4, 1, 0.03)!.error()!.inflation).toBeLessThan(1.5);
  });
});
