import { describe, expect, it } from 'vitest';
import type { JudgedSize } from './evaluate-sizes.ts';
import { crownTable, sizesTable } from './sizes-report.ts';

/** As much of a judged crown as the tables read, mm. */
function crown(tooth: number, widthMm: number | null, errorMm = 0, open = false): JudgedSize {
  return {
    place: 'case',
    open,
    record: {
      tooth,
      mesiodistalMm: widthMm,
      buccolingualMm: 8,
      sizesU95Mm: { mesiodistal: 0.1, buccolingual: 0.1, crownHeight: null },
    },
    truth: { tooth, mesiodistalMm: (widthMm ?? 7) - errorMm, buccolingualMm: 7.9 },
  } as unknown as JudgedSize;
}

const rowOf = (table: string, name: string): string[] =>
  table
    .split('\n')
    .map((line) => line.split('|').map((cell) => cell.trim()))
    .find((cells) => cells[1] === name)!
    .slice(1, -1);

describe('sizesTable', () => {
  const table = sizesTable([
    crown(11, 8, 0.03, true),
    crown(21, 8, -0.07),
    crown(13, 7.5, 0.2),
    crown(16, null),
  ]);

  it('sums up by kind of tooth: count, mean, rms, worst, how many within limits and within U', () => {
    // errors 0.03 and -0.07: mean -0.02, rms sqrt(0.0029)
    expect(rowOf(table, 'incisors').slice(1, 9)).toEqual([
      '2',
      '2',
      '-0.020',
      '0.054',
      '-0.070',
      '1',
      '2',
      '2',
    ]);
    expect(rowOf(table, 'canines').slice(1, 9)).toEqual(['1', '1', '0.200', '0.200', '0.200', '0', '0', '0']);
  });

  it('counts crowns without a width, and lists those with spaces on both sides', () => {
    expect(rowOf(table, 'molars').slice(1, 3)).toEqual(['1', '0']);
    expect(rowOf(table, 'both sides open').slice(1, 4)).toEqual(['1', '1', '0.030']);
    expect(rowOf(table, 'all').slice(1, 3)).toEqual(['4', '3']);
    expect(rowOf(table, 'all').slice(9)).toEqual(['0.100', '0.100']);
  });
});

describe('crownTable', () => {
  it('has a row per crown, with dashes where there is no width', () => {
    const lines = crownTable([crown(11, 8, 0.03), crown(16, null)]).split('\n');
    expect(lines).toHaveLength(4);
    expect(lines[2]).toMatch(/\| case\s*\|\s*11 \|\s*7\.970 \|\s*8\.000 \|\s*0\.100 \|\s*0\.030 \|/);
    expect(lines[3]).toMatch(/\|\s*16 \|\s*7\.000 \|\s*- \|\s*0\.100 \|\s*- \|/);
  });
});
