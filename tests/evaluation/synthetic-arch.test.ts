import { beforeAll, describe, expect, it } from 'vitest';
import { FRONT } from '../../fixtures/specs.ts';
import { type ArchResult, evaluateSegmentation } from './evaluate-segmentation.ts';
import { evaluateSpaces } from './evaluate-spaces.ts';
import { type JudgedContact, spacesFigures } from './judge-spaces.ts';
import type { LabelledCase } from './labelled-case.ts';
import { madeCase } from './made-case.ts';
import { segmentationFigures, segmentationOffenders, segmentationTable } from './segmentation-report.ts';
import { contactTable, spacesTable } from './spaces-report.ts';

/** Four front teeth of the generator: one open space, one bridged, one closed contact. */
let labelled: LabelledCase;
const results: ArchResult[] = [];
let judged: JudgedContact[];

beforeAll(async () => {
  labelled = await madeCase(FRONT);
  const options = { jitter: { reachMm: 1.5, seeds: 1 }, spaces: true };
  for await (const result of evaluateSegmentation(labelled, options)) results.push(result);
  judged = await evaluateSpaces(labelled, new Map(), { labels: 'own' });
}, 120_000);

describe('teeth of a made arch', () => {
  const [given, moved] = ['clicks', '1.5 mm, seed 1'].map((clicks) => (): ArchResult[] => {
    const found = results.filter((result) => result.clicks === clicks);
    expect(found.map(({ teeth }) => teeth.length)).toEqual([4]);
    return found;
  }) as [() => ArchResult[], () => ArchResult[]];

  it('are found whole with one click each', () => {
    const figures = segmentationFigures(given());
    expect(figures.meanIou).toBeGreaterThan(0.96);
    expect(figures.leastIou).toBeGreaterThan(0.94);
    expect(figures.brokenTeeth).toBe(0);
    expect(figures.gum.medianMm).toBeLessThan(0.15);
    expect(figures.contact.medianMm).toBeLessThan(0.15);
    expect(figures.contact.points).toBeGreaterThan(20);
  });

  it('are found with clicks moved by up to 1.5 mm', () => {
    // Weaker than on a whole arch: four clicks fix neither the occlusal plane nor the ends of the row well.
    const figures = segmentationFigures(moved());
    expect(figures.meanIou).toBeGreaterThan(0.92);
    expect(figures.leastIou).toBeGreaterThan(0.75);
    expect(figures.brokenTeeth).toBe(0);
  });

  it('leave the spaces as they are with true labels', () => {
    const { spaces } = segmentationFigures(results);
    expect(spaces).toMatchObject({ compared: 2, turned: [], lostOrWon: [] });
    expect(spaces!.worstMm).toBeLessThan(0.03);
  });

  it('make one row each and one for all', () => {
    expect(segmentationTable(results).split('\n')).toHaveLength(2 + 2 + 1);
    expect(segmentationOffenders(given(), 0.94)).toEqual([]);
    expect(segmentationOffenders(results, 1.01)).toHaveLength(8);
  });
});

describe('spaces of a made arch', () => {
  it('are measured where they can be seen and bounded where not', () => {
    expect(judged.map(({ truth }) => truth.state)).toEqual(['bridged', 'open', 'closed']);
    const figures = spacesFigures(judged);
    expect(figures).toMatchObject({ free: 1, measured: 1, hidden: 2, hiddenBridged: 2, openBridged: 0 });
    expect(figures).toMatchObject({ covered: 1, wrong: [], bounds: 2, boundsHeld: 2 });
    expect(Math.abs(figures.worstMm!)).toBeLessThan(0.04);
  });

  it('stand in the tables', () => {
    expect(spacesTable(judged).split('\n')).toHaveLength(2 + 1 + 1);
    expect(contactTable(judged)).toContain('| 11-21   | open');
  });
});

describe('the evaluation itself', () => {
  it('notices labels that are wrong', async () => {
    // The truth with 11 and 21 taken for each other: nothing of them is right any more.
    const swapped = labelled.truth.map((tooth) => (tooth === 11 ? 21 : tooth === 21 ? 11 : tooth));
    const options = { jitter: null, spaces: false };
    const found: ArchResult[] = [];
    for await (const result of evaluateSegmentation({ ...labelled, truth: swapped }, options))
      found.push(result);
    const iou = new Map(found[0]!.teeth.map((tooth) => [tooth.tooth, tooth.iou]));
    expect([iou.get(11), iou.get(21)]).toEqual([0, 0]);
    expect(iou.get(12)).toBeGreaterThan(0.9);
    expect(segmentationFigures(found).spaces).toBeNull();
  });

  it('notices a truth that is another', async () => {
    const spaces = labelled.spaces!.map((space) => ({ ...space, gapMm: space.gapMm + 0.5 }));
    const wrong = await evaluateSpaces({ ...labelled, spaces }, new Map(), { labels: 'true' });
    const figures = spacesFigures(wrong);
    expect(figures.covered).toBe(0);
    expect(figures.boundsHeld).toBe(0);
  });

  it('takes a tooth that nobody clicked for gum', async () => {
    const [name, set] = [...labelled.clickSets][0]!;
    const fewer = { ...set, clicks: set.clicks.filter(({ tooth }) => tooth !== 22) };
    const options = { jitter: null, spaces: false };
    for await (const result of evaluateSegmentation(
      { ...labelled, clickSets: new Map([[name, fewer]]) },
      options,
    )) {
      expect(result.teeth.map(({ tooth }) => tooth)).toEqual([11, 12, 21]);
    }
  });
});
