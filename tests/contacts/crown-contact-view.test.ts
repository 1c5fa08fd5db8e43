import { describe, expect, it } from 'vitest';
import { makeCrownShells } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { crownContactView } from '../../src/contacts/crown-contact-view.ts';
import { measureCrowns } from '../../src/contacts/measure-crowns.ts';
import { mergeCrowns } from '../../src/contacts/merge-crowns.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import { readScan } from '../../src/scan/read-scan.ts';

describe('crownContactView', () => {
  it('draws the cut and both walls of an overlap, as deep in the cut as in the table', async () => {
    const crowns = [];
    for (const { tooth, ...shell } of makeCrownShells({ ...FRONT, gaps: { '11-21': -0.06 } }, 0.35)) {
      const scan = await readScan(writeBinaryStl(shell), { fileName: `${tooth}.stl`, unit: 'mm' });
      crowns.push({ tooth, scan });
    }
    const analysis = await measureCrowns(crowns, 'upper', DEFAULT_MEASURE_SETTINGS);
    const merged = mergeCrowns(crowns);
    const contact = analysis.contacts.find(({ toothA }) => toothA === 11)!;
    expect(contact.gap!.valueMm).toBeLessThan(0);
    const { section, mapA, mapB } = crownContactView(merged, analysis, 11, 21);
    const [a, b] = [section.a!, section.b!];
    const across = Math.hypot(b[0] - a[0], b[1] - a[1], section.outOfPlaneMm);
    expect(across).toBeCloseTo(-contact.gap!.valueMm, 3);
    for (const map of [mapA, mapB]) {
      expect(map.bands[0]!.pieces.length).toBeGreaterThan(0);
      expect(map.outline).not.toBeNull();
    }
    await expect(async () => crownContactView(merged, analysis, 12, 21)).rejects.toMatchObject({
      code: 'NO_SECTION',
    });
  });
});
