import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { templatePlace } from '../../src/teeth/arch-template.ts';
import { checkNumbers, refuseWrongNumbers } from '../../src/teeth/check-numbers.ts';
import { archOrder } from '../../src/teeth/notation.ts';
import type { PlacedTooth } from '../../src/teeth/occlusal-frame.ts';
import type { Jaw, OcclusalFrame, ToothNumber } from '../../src/teeth/types.ts';

const FRAME: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

/** A row at textbook places, drawn wider or deeper than the textbook. */
function row(jaw: Jaw, teeth: readonly ToothNumber[], wide = 1, deep = 1): PlacedTooth[] {
  return teeth.map((tooth) => {
    const [x, y] = templatePlace(tooth, jaw);
    return { tooth, point: [x * wide, y * deep, 0] };
  });
}

const whole = (jaw: Jaw): ToothNumber[] => archOrder(jaw).filter((tooth) => tooth % 10 < 8);

/** The same places with other numbers. */
function renumbered(
  teeth: readonly PlacedTooth[],
  change: (tooth: ToothNumber) => ToothNumber,
): PlacedTooth[] {
  return teeth.map(({ tooth, point }) => ({ tooth: change(tooth), point }));
}

const exchanged = (teeth: readonly PlacedTooth[], a: ToothNumber, b: ToothNumber): PlacedTooth[] =>
  renumbered(teeth, (tooth) => (tooth === a ? b : tooth === b ? a : tooth));

function moved(teeth: readonly PlacedTooth[], which: ToothNumber, by: Vec3): PlacedTooth[] {
  return teeth.map(({ tooth, point: [x, y, z] }) => ({
    tooth,
    point: tooth === which ? [x + by[0], y + by[1], z + by[2]] : [x, y, z],
  }));
}

describe('checkNumbers', () => {
  it('has nothing to say about right numbers, in narrow, wide, short and deep arches, whole or in part', () => {
    for (const jaw of ['upper', 'lower'] as const) {
      for (const [wide, deep] of [
        [1, 1],
        [0.8, 1.15],
        [1.15, 0.8],
      ] as const) {
        const all = row(jaw, archOrder(jaw), wide, deep);
        expect(checkNumbers(all, FRAME, jaw)).toBeNull();
        for (let from = 0; from < 15; from++) {
          for (let to = from + 1; to <= 16; to++)
            expect(checkNumbers(all.slice(from, to), FRAME, jaw)).toBeNull();
        }
      }
    }
  });

  it('names two exchanged teeth, next to each other or not, wherever they stand', () => {
    const teeth = row('upper', whole('upper'));
    for (const [a, b] of [
      [11, 21],
      [13, 12],
      [14, 13],
      [13, 11],
      [17, 16],
      [26, 27],
      [17, 27],
      [14, 24],
    ] as const) {
      const found = checkNumbers(exchanged(teeth, a, b), FRAME, 'upper');
      expect(found?.code).toBe('NUMBERS_OUT_OF_ORDER');
      expect(found!.sentence).toContain(`${a} and ${b} seem exchanged`);
    }
    const few = exchanged(row('upper', [12, 11, 21]), 11, 21);
    expect(checkNumbers(few, FRAME, 'upper')?.code).toBe('NUMBERS_OUT_OF_ORDER');
  });

  it('a tooth of the right side numbered as one of the left is out of order', () => {
    const teeth = row('upper', [17, 16, 15, 14, 13, 12, 11, 21, 22, 23]);
    const wrong = renumbered(teeth, (tooth) => (tooth === 15 ? 25 : tooth));
    expect(checkNumbers(wrong, FRAME, 'upper')?.code).toBe('NUMBERS_OUT_OF_ORDER');
  });

  it('a canine outside the row and an overlap of crowded incisors are no fault', () => {
    const teeth = row('upper', whole('upper'));
    expect(checkNumbers(moved(teeth, 13, [-5, 4, 0]), FRAME, 'upper')).toBeNull();
    expect(checkNumbers(moved(teeth, 23, [-3, -5, 0]), FRAME, 'upper')).toBeNull();
    // 11 behind 21, their middles past each other by so much.
    const half = templatePlace(21, 'upper')[0];
    const past = (by: number) => moved(moved(teeth, 11, [half + by / 2, -2, 0]), 21, [-half - by / 2, 0, 0]);
    expect(checkNumbers(past(1.5), FRAME, 'upper')).toBeNull();
    expect(checkNumbers(past(5), FRAME, 'upper')?.code).toBe('NUMBERS_OUT_OF_ORDER');
  });

  it('mirrored numbers: right and left exchanged, or the other jaw', () => {
    const teeth = row('upper', whole('upper'));
    const sides = renumbered(teeth, (tooth) => (tooth < 20 ? tooth + 10 : tooth - 10));
    expect(checkNumbers(sides, FRAME, 'upper')).toMatchObject({ code: 'NUMBERS_MIRRORED', tooth: null });
    const right = row('upper', [17, 16, 15, 14, 13, 12, 11]);
    const other = renumbered(right, (tooth) => tooth + 10);
    expect(checkNumbers(other, FRAME, 'upper')?.code).toBe('NUMBERS_MIRRORED');
  });

  it('neighbours by number with room for a tooth between them are refused, a wide diastema is not', () => {
    const teeth = row('upper', [11, 21]);
    expect(checkNumbers(moved(teeth, 21, [5, 0, 0]), FRAME, 'upper')).toBeNull();
    const far = checkNumbers(moved(teeth, 21, [8, 0, 0]), FRAME, 'upper');
    expect(far).toMatchObject({ code: 'NUMBERS_OUT_OF_ORDER', tooth: 21 });
    expect(far!.sentence).toMatch(/11 and 21 lie 16\.\d mm apart/);
  });

  it('refuseWrongNumbers throws the sentence as an input error', () => {
    const map = (teeth: readonly PlacedTooth[]) =>
      new Map(teeth.map(({ tooth, point }): [number, Vec3] => [tooth, point]));
    const teeth = row('lower', whole('lower'));
    expect(() => refuseWrongNumbers(map(teeth), FRAME, 'lower')).not.toThrow();
    expect(() => refuseWrongNumbers(map(exchanged(teeth, 43, 42)), FRAME, 'lower')).toThrow(/43 and 42 seem/);
  });
});
