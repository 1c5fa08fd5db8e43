import { beforeAll, describe, expect, it } from 'vitest';
import { triangleAreas, writeCentroid } from '../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { Click, ClickSet, Segmentation } from '../../src/teeth/types.ts';
import { type LabelledCase, readLabelledCase, sharedDataPresent, toothIou } from './shared-scans.ts';

/** A correction may relabel this far around it; the band along a border reaches a little beyond, mm. */
const REACH_MM = 9;

describe.runIf(sharedDataPresent())('segmentTeeth with an earlier answer', () => {
  let labelled: LabelledCase;
  let base: TeethBase;
  let set: ClickSet;
  let whole: Segmentation;
  beforeAll(async () => {
    labelled = readLabelledCase('synthetic/upper-three-spaces');
    base = await prepareTeeth(labelled.scan);
    set = labelled.clicks.get('clicks.json')!;
    whole = segmentTeeth(base, set);
  });

  const middleOf = (face: number): Vec3 => {
    const middle = new Float32Array(3);
    writeCentroid(base.scan, face, middle);
    return [middle[0]!, middle[1]!, middle[2]!];
  };
  const plus = (...clicks: Click[]): ClickSet => ({ ...set, clicks: [...set.clicks, ...clicks] });
  /** A face with this label in the answer, some way inside the truth's other side of a border. */
  const wronglyLabelled = (tooth: number, truth: number): number => {
    const faces: number[] = [];
    whole.labels.forEach((label, f) => {
      if (label === tooth && labelled.truth[f] === truth) faces.push(f);
    });
    expect(faces.length).toBeGreaterThan(0);
    return faces[faces.length >> 1]!;
  };
  const changed = (a: Segmentation, b: Segmentation): number[] =>
    [...a.labels.keys()].filter((f) => a.labels[f] !== b.labels[f]);

  it('comes to the same labels click by click as all at once (0.1 % of the area)', () => {
    let step: Segmentation | null = null;
    for (let n = 1; n <= set.clicks.length; n++) {
      step = segmentTeeth(base, { ...set, clicks: set.clicks.slice(0, n) }, step);
    }
    let total = 0;
    let differs = 0;
    const areas = triangleAreas(base.scan);
    areas.forEach((area, f) => {
      total += area;
      if (step!.labels[f] !== whole.labels[f]) differs += area;
    });
    expect(differs / total).toBeLessThan(0.001);
    const iou = toothIou(areas, labelled.truth, step!.labels);
    expect(Math.min(...iou.values())).toBeGreaterThan(0.96);
  });

  it('does not depend on the earlier answer when clicks were taken away', () => {
    const fewer = { ...set, clicks: set.clicks.slice(0, 9) };
    expect(segmentTeeth(base, fewer, whole).labels).toEqual(segmentTeeth(base, fewer).labels);
  });

  it('gives a place to the gum and leaves everything else alone', () => {
    const face = wronglyLabelled(21, 0);
    const point = middleOf(face);
    const corrected = segmentTeeth(base, plus({ tooth: 'gum', point }), whole);
    expect(corrected.labels[face]).toBe(0);
    const moved = changed(whole, corrected);
    expect(moved.length).toBeGreaterThan(0);
    for (const f of moved) expect(distance(middleOf(f), point)).toBeLessThan(REACH_MM);
  });

  it('gives a place to a tooth, and later clicks do not take it back', () => {
    const face = wronglyLabelled(0, 16);
    const tooth: Click = { tooth: 16, point: middleOf(face) };
    const one = segmentTeeth(base, plus(tooth), whole);
    expect(one.labels[face]).toBe(16);
    const other = wronglyLabelled(11, 0);
    const two = segmentTeeth(base, plus(tooth, { tooth: 'gum', point: middleOf(other) }), one);
    expect(two.labels[face]).toBe(16);
    expect(two.labels[other]).toBe(0);
    for (const f of changed(one, two)) expect(distance(middleOf(f), middleOf(other))).toBeLessThan(REACH_MM);
    const fromScratch = segmentTeeth(base, plus(tooth, { tooth: 'gum', point: middleOf(other) }));
    expect(fromScratch.labels[face]).toBe(16);
    expect(fromScratch.labels[other]).toBe(0);
  });

  it('takes a tooth added after a correction without losing the correction', () => {
    const face = wronglyLabelled(0, 16);
    const some: ClickSet = {
      ...set,
      clicks: [...set.clicks.slice(0, 9), { tooth: 16, point: middleOf(face) }],
    };
    const before = segmentTeeth(base, some);
    const after = segmentTeeth(base, { ...some, clicks: [...some.clicks, set.clicks[9]!] }, before);
    expect(after.labels[face]).toBe(16);
    expect(after.labels.includes(set.clicks[9]!.tooth as number)).toBe(true);
  });
});
