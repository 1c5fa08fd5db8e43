import { beforeAll, describe, expect, it } from 'vitest';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import type { ArchgapError } from '../../src/geometry/archgap-error.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ClickSet, Jaw, ToothNumber } from '../../src/teeth/types.ts';
import { readLabelledCase, sharedDataPresent } from '../teeth/shared-scans.ts';

/** What the plan, the table and the heights would rest on: wrong numbers must not get that far. */
describe.runIf(sharedDataPresent())('numbers on the real arch', () => {
  let base: TeethBase;
  let set: ClickSet;
  beforeAll(async () => {
    const labelled = readLabelledCase('real/arch-upper');
    base = await prepareTeeth(labelled.scan);
    set = labelled.clicks.get('clicks.json')!;
  });

  async function measured(
    change: (tooth: ToothNumber) => ToothNumber,
    jaw: Jaw = 'upper',
  ): Promise<{ codes: string[]; answer: Analysis | ArchgapError }> {
    const clicks = set.clicks.map((click) => ({ ...click, tooth: change(click.tooth as ToothNumber) }));
    const numbered = { ...set, jaw, clicks };
    const segmentation = segmentTeeth(base, numbered);
    const answer = await measureContacts(base.scan, numbered, segmentation, DEFAULT_MEASURE_SETTINGS).catch(
      (error: ArchgapError) => error,
    );
    return { codes: segmentation.warnings.map(({ code }) => code), answer };
  }

  it('two exchanged numbers are named at the teeth and nothing is measured', async () => {
    for (const [a, b] of [
      [11, 21],
      [24, 25],
    ] as const) {
      const { codes, answer } = await measured((tooth) => (tooth === a ? b : tooth === b ? a : tooth));
      expect(codes).toContain('NUMBERS_OUT_OF_ORDER');
      expect(answer).toMatchObject({ code: 'NUMBERS_OUT_OF_ORDER', kind: 'input' });
      expect((answer as ArchgapError).message).toContain(`${a} and ${b} seem exchanged`);
    }
  });

  it('right and left exchanged, or the numbers of the other jaw: nothing is measured', async () => {
    const sides = await measured((tooth) => (tooth < 20 ? tooth + 10 : tooth - 10));
    expect(sides.codes).toContain('NUMBERS_MIRRORED');
    expect(sides.answer).toMatchObject({ code: 'NUMBERS_MIRRORED', kind: 'input' });
    const lower = await measured((tooth) => (tooth < 20 ? tooth + 30 : tooth + 10), 'lower');
    expect(lower.answer).toMatchObject({ code: 'NUMBERS_MIRRORED', kind: 'input' });
  });

  it('says that heights are approximate where the teeth show no plane of tops', async () => {
    const clicks = set.clicks.filter(({ tooth }) => [17, 16, 15, 14].includes(tooth as number));
    const few = { ...set, clicks };
    const analysis = await measureContacts(base.scan, few, segmentTeeth(base, few), DEFAULT_MEASURE_SETTINGS);
    expect(analysis.warnings.map(({ code }) => code)).toContain('OCCLUSAL_APPROXIMATE');
  });

  it('right numbers are measured, and every contact lies below the plane of the tops, within its crowns', async () => {
    const { codes, answer } = await measured((tooth) => tooth);
    expect(codes).toEqual([]);
    const analysis = answer as Analysis;
    expect(analysis.contacts).toHaveLength(13);
    expect(analysis.warnings.map(({ code }) => code)).not.toContain('OCCLUSAL_APPROXIMATE');
    for (const { toothA, toothB, heightMm } of analysis.contacts) {
      const crowns = analysis.teeth.filter(({ tooth }) => tooth === toothA || tooth === toothB);
      if (heightMm === null) continue;
      expect(heightMm).toBeGreaterThan(0);
      for (const { crownHeightMm } of crowns) {
        if (crownHeightMm !== null) expect(heightMm).toBeLessThan(crownHeightMm);
      }
    }
    const heights = analysis.contacts.map(({ heightMm }) => heightMm?.toFixed(2) ?? '-');
    console.log(`real arch, heights below the occlusal plane: ${heights.join(' ')}`);
    expect(heights.filter((height) => height !== '-').length).toBeGreaterThanOrEqual(11);
  });
});
