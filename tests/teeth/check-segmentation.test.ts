import { beforeAll, describe, expect, it } from 'vitest';
import { triangleCentroids } from '../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { lerp } from '../../src/geometry/vec3.ts';
import { digitOf } from '../../src/teeth/notation.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ClickSet } from '../../src/teeth/types.ts';
import { readLabelledCase, sharedDataPresent } from './shared-scans.ts';

describe.runIf(sharedDataPresent())('checkSegmentation', () => {
  let base: TeethBase;
  let set: ClickSet;
  beforeAll(async () => {
    const labelled = readLabelledCase('real/arch-upper');
    base = await prepareTeeth(labelled.scan);
    set = labelled.clicks.get('clicks.json')!;
  });
  const codes = (clicks: ClickSet): string[] =>
    segmentTeeth(base, clicks).warnings.map((warning) => warning.code);
  const pointOf = (tooth: number): Vec3 => set.clicks.find((click) => click.tooth === tooth)!.point;

  it('has nothing to say about a right set', () => {
    expect(codes(set)).toEqual([]);
  });

  it('notices the numbers of the other jaw', () => {
    const clicks = set.clicks.map((click) => {
      const tooth = click.tooth as number;
      return { ...click, tooth: (tooth < 20 ? 40 : 30) + digitOf(tooth) };
    });
    const { warnings } = segmentTeeth(base, { ...set, jaw: 'lower', clicks });
    expect(warnings.map((warning) => warning.code)).toContain('NUMBERS_MIRRORED');
    expect(warnings.find((warning) => warning.code === 'NUMBERS_MIRRORED')!.sentence).toContain(
      'looks like an upper jaw',
    );
  });

  it('notices right and left exchanged', () => {
    const clicks = set.clicks.map((click) => {
      const tooth = click.tooth as number;
      return { ...click, tooth: (tooth < 20 ? 20 : 10) + digitOf(tooth) };
    });
    expect(codes({ ...set, clicks })).toContain('NUMBERS_MIRRORED');
  });

  it('notices two clicks on one incisor', () => {
    // 11 is clicked on the crown of 12, two fifths of the way to its own.
    const wrong = lerp(pointOf(12), pointOf(11), 0.38);
    const clicks = set.clicks.map((click) => (click.tooth === 11 ? { ...click, point: wrong } : click));
    const found = codes({ ...set, clicks });
    expect(found).toContain('NO_FOLD_BETWEEN');
  });

  it('notices a click on the gum', () => {
    // The palate, 12 mm behind the front teeth.
    const behind = lerp(pointOf(11), lerp(pointOf(16), pointOf(26), 0.5), 0.35);
    const labels = segmentTeeth(base, set).labels;
    const centroid = triangleCentroids(base.scan);
    let nearest = -1;
    let least = Number.POSITIVE_INFINITY;
    labels.forEach((label, f) => {
      if (label !== 0) return;
      const d = Math.hypot(...[0, 1, 2].map((k) => centroid[3 * f + k]! - behind[k]!));
      if (d >= least) return;
      least = d;
      nearest = f;
    });
    const point = [0, 1, 2].map((k) => centroid[3 * nearest + k]!) as unknown as Vec3;
    const { warnings } = segmentTeeth(base, { ...set, clicks: [{ tooth: 11, point }] });
    expect(warnings.map((warning) => warning.code)).toContain('TOOTH_REGION_SMALL');
  });
});
