import { describe, expect, it } from 'vitest';
import { mergeCrowns } from '../../src/contacts/merge-crowns.ts';
import type { LengthUnit, Scan } from '../../src/scan/types.ts';
import { boxMesh } from '../helpers/closed-meshes.ts';

const CUBE = boxMesh([0, 0, 0], [1, 1, 1]);

function crown(tooth: number, unit: LengthUnit, sure: boolean): { tooth: number; scan: Scan } {
  const source = { fileName: `${tooth}.stl`, unit: { unit, basis: 'size', sure, sentence: '' } };
  return { tooth, scan: { ...CUBE, originMm: [0, 0, 0], source } as unknown as Scan };
}
const said = (crowns: ReturnType<typeof crown>[]): string => {
  try {
    mergeCrowns(crowns);
  } catch (fault) {
    expect((fault as { code?: string }).code).toBe('CROWN_UNITS_DIFFER');
    return (fault as Error).message;
  }
  throw new Error('expected a refusal');
};

describe('mergeCrowns', () => {
  it('lays crowns into one mesh in arch order, each with its number', () => {
    const merged = mergeCrowns([crown(21, 'mm', true), crown(11, 'mm', true)]);
    expect([...merged.parts.keys()]).toEqual([11, 21]);
    expect(merged.labels.length).toBe((2 * CUBE.triangles.length) / 3);
    expect([merged.labels[0], merged.labels.at(-1)]).toEqual([11, 21]);
  });

  it('says which file is in another unit, and that stating one cannot help where its size leaves no other', () => {
    const three = [crown(11, 'm', true), crown(12, 'mm', true), crown(21, 'mm', false)];
    expect(said(three)).toBe(
      'The crowns were read in different units: 11.stl in metres, the other 2 in millimetres. Stating one unit cannot help; export it again in millimetres, in the frame of the others.',
    );
  });

  it('of two crowns names the one that is not in millimetres, and says to state the unit where two are open', () => {
    expect(said([crown(11, 'in', false), crown(21, 'mm', true)])).toBe(
      'The crowns were read in different units: 11.stl in inches, the other one in millimetres. If it is in millimetres like the other one, state that unit; else export it again in millimetres, in the frame of the others.',
    );
  });

  it('names three of many', () => {
    const many = [14, 13, 12, 11].map((tooth) => crown(tooth, 'm', true));
    const rest = [21, 22, 23, 24, 25].map((tooth) => crown(tooth, 'mm', true));
    expect(said([...many, ...rest])).toContain(
      '14.stl in metres, 13.stl in metres, 12.stl in metres and 1 more, the other 5 in millimetres. Stating one unit cannot help; export them again',
    );
  });
});
