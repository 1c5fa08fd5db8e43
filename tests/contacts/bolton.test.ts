import { describe, expect, it } from 'vitest';
import { BOLTON_MEANS, boltonExcess, boltonRatios } from '../../src/contacts/bolton.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

const upper = makeAnalysis({ jaw: 'upper' });
const lower = makeAnalysis({ jaw: 'lower' });

/** The same widths with an uncertainty each. */
function withU95(analysis: Analysis, u95Mm: number): Analysis {
  const sizesU95Mm = { mesiodistal: u95Mm, buccolingual: null, crownHeight: null };
  return { ...analysis, teeth: analysis.teeth.map((record) => ({ ...record, sizesU95Mm })) };
}

describe('Bolton’s table (Bolton 1958; recomputed from the means, published rows from memory)', () => {
  it.each([
    [85, 77.6],
    [90, 82.2],
    [95, 86.7],
    [100, 91.3],
    [105, 95.9],
    [110, 100.4],
  ])('twelve upper teeth of %f mm go with twelve lower of %f', (max, mand) => {
    expect((max * BOLTON_MEANS.overall.percent) / 100).toBeCloseTo(mand, 0);
    expect(boltonExcess(max, mand, BOLTON_MEANS.overall.percent).mm).toBeLessThan(0.07);
  });

  it.each([
    [40, 30.9],
    [45, 34.7],
    [50, 38.6],
    [55, 42.5],
  ])('six upper teeth of %f mm go with six lower of %f', (max, mand) => {
    expect((max * BOLTON_MEANS.anterior.percent) / 100).toBeCloseTo(mand, 0);
    expect(boltonExcess(max, mand, BOLTON_MEANS.anterior.percent).mm).toBeLessThan(0.07);
  });
});

describe('boltonRatios', () => {
  it('gives the worked numbers of textbook teeth', () => {
    const [overall, anterior] = boltonRatios(upper, lower);
    expect(overall?.percent).toBeCloseTo(91.398, 3);
    expect(anterior?.percent).toBeCloseTo(77.778, 3);
    expect([overall?.upperSumMm, overall?.lowerSumMm]).toEqual([93, 85]);
    // 85 - 93 * 0.913 and 35 - 45 * 0.772.
    expect(overall?.excess).toMatchObject({ jaw: 'lower', mm: expect.closeTo(0.091, 3) });
    expect(anterior?.excess).toMatchObject({ jaw: 'lower', mm: expect.closeTo(0.26, 3) });
    expect(overall?.u95Percent).toBeNull();
  });

  it('gives a maxillary excess below the mean, as the upper arch would have to be narrower by', () => {
    expect(boltonExcess(100, 90, 91.3)).toEqual({ jaw: 'upper', mm: expect.closeTo(100 - 9000 / 91.3, 9) });
  });

  it('carries the uncertainty of the widths over', () => {
    const [overall] = boltonRatios(withU95(upper, 0.16), withU95(lower, 0.16));
    // u of each sum: 0.08 sqrt 12 = 0.2771; relative 0.2771 / 93 and / 85.
    const u = 0.08 * Math.sqrt(12);
    expect(overall?.u95Percent).toBeCloseTo(2 * 91.398 * Math.hypot(u / 93, u / 85), 3);
    expect(overall?.excess?.u95Mm).toBeCloseTo(2 * Math.hypot(u, 0.913 * u), 6);
  });

  it('has no ratio but a reason when a tooth is missing', () => {
    const gap = makeAnalysis({ jaw: 'lower', missing: [45] });
    const [overall, anterior] = boltonRatios(upper, gap);
    expect(overall).toMatchObject({
      percent: null,
      lowerSumMm: null,
      upperSumMm: 93,
      reason: 'No width: 45.',
    });
    expect(anterior?.percent).toBeCloseTo(77.778, 3);
  });

  it('refuses arches in the wrong order', () => {
    expect(() => boltonRatios(lower, upper)).toThrow(expect.objectContaining({ code: 'BOLTON_JAWS' }));
  });
});
