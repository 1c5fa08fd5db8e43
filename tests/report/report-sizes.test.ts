import { describe, expect, it } from 'vitest';
import { boltonRatios } from '../../src/contacts/bolton.ts';
import { boltonRows, indexRows, sizesSection, sizeWords } from '../../src/report/report-sizes.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';

describe('sizeWords', () => {
  it('writes a size with its interval, without one, and a dash for none', () => {
    expect(sizeWords(8.447, 0.139)).toBe('8.45 ± 0.14');
    expect(sizeWords(8.447, null)).toBe('8.45');
    expect(sizeWords(null, null)).toBe('–');
  });
});

describe('indexRows', () => {
  it('says why there is no value', () => {
    const rows = indexRows(makeAnalysis({ missing: [13] }));
    const canines = rows.find(({ name }) => name === 'Intercanine width')!;
    expect(canines).toMatchObject({ value: '–', remark: 'Not on the scan: 13.' });
    expect(canines.definition).toContain('from memory');
  });

  it('adds up the measured spaces of the demo', () => {
    const spaces = indexRows(threeSpaces()).find(({ name }) => name === 'Sum of the measured spaces')!;
    // 0.25, 0.11, 0.352, 0.04 and 0.6 mm; 0.034, 0.03, 0.031, 0.03, 0.04 add as squares.
    expect(spaces.value).toBe('1.35 ± 0.07 mm');
  });
});

describe('boltonRows', () => {
  it('puts ratio, excess and distance from the mean into words', () => {
    const [overall] = boltonRows(boltonRatios(makeAnalysis(), makeAnalysis({ jaw: 'lower' })));
    expect(overall).toMatchObject({
      value: '91.4 %',
      remark:
        '0.09 mm too much tooth width in the lower arch at the mean ratio; 0.1 standard deviations above the mean',
    });
  });

  it('gives the reason where there is no ratio', () => {
    const [overall] = boltonRows(
      boltonRatios(makeAnalysis({ missing: [15] }), makeAnalysis({ jaw: 'lower' })),
    );
    expect(overall).toMatchObject({ value: '–', remark: 'No width: 15.' });
  });
});

describe('sizesSection', () => {
  it('holds every tooth in the chosen numbers and every index with its source', () => {
    const html = sizesSection(makeAnalysis(), 'universal');
    expect(html).toContain('<th>2</th>');
    expect(html.match(/<td>mesiodistal<\/td>(<td class="num">\d+\.\d\d<\/td>){14}/)).not.toBeNull();
    expect(html).toContain('Little 1975');
    expect(html).not.toContain('undefined');
  });
});
