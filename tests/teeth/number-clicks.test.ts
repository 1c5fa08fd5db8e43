import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { templatePlace } from '../../src/teeth/arch-template.ts';
import { archOrder } from '../../src/teeth/notation.ts';
import { nextToothNumber } from '../../src/teeth/number-clicks.ts';
import type { Click, Jaw, ToothNumber } from '../../src/teeth/types.ts';

/** Where a tooth of the textbook arch stands, a little off, as a hand would click. */
function place(tooth: ToothNumber, jaw: Jaw): Vec3 {
  const [x, y] = templatePlace(tooth, jaw);
  return [x + 0.8 * Math.sin(7 * tooth), y + 0.8 * Math.cos(5 * tooth), 0.3];
}

const clickOf = (tooth: ToothNumber, jaw: Jaw): Click => ({ tooth, point: place(tooth, jaw) });

describe('nextToothNumber', () => {
  it.each(['upper', 'lower'] as const)('follows a full %s row from right to left without asking', (jaw) => {
    const clicks: Click[] = [];
    for (const tooth of archOrder(jaw).slice(1, 15)) {
      const guess = nextToothNumber(jaw, clicks, [], place(tooth, jaw))!;
      expect(guess.tooth).toBe(tooth);
      if (clicks.length > 0) expect(guess).toEqual({ tooth, sure: true, question: null });
      clicks.push(clickOf(tooth, jaw));
    }
  });

  it('follows the row from left to right as well', () => {
    const clicks: Click[] = [clickOf(27, 'upper')];
    for (const tooth of archOrder('upper').slice(1, 14).toReversed()) {
      expect(nextToothNumber('upper', clicks, [], place(tooth, 'upper'))!.tooth).toBe(tooth);
      clicks.push(clickOf(tooth, 'upper'));
    }
  });

  it('asks where the row begins', () => {
    const guess = nextToothNumber('lower', [], [], [0, 0, 0])!;
    expect(guess).toMatchObject({ tooth: 47, sure: false });
    expect(guess.question?.sentence).toContain('47');
    expect(nextToothNumber('lower', [], [47], [0, 0, 0])!.tooth).toBe(48);
  });

  it('notices a place that was left out and asks about it', () => {
    const clicks = [17, 16, 15].map((tooth) => clickOf(tooth, 'upper'));
    const guess = nextToothNumber('upper', clicks, [], place(13, 'upper'))!;
    expect(guess).toMatchObject({ tooth: 13, sure: false });
    expect(guess.question?.sentence).toContain('14 is left out');
  });

  it('steps over a tooth marked missing, whether its space is there or closed', () => {
    const clicks = [17, 16, 15].map((tooth) => clickOf(tooth, 'upper'));
    expect(nextToothNumber('upper', clicks, [14], place(13, 'upper'))).toMatchObject({
      tooth: 13,
      sure: true,
    });
    const closed = place(14, 'upper');
    expect(nextToothNumber('upper', clicks, [14], closed)).toMatchObject({ tooth: 13, sure: true });
  });

  it('asks whether a click far from the first one, but on its labelled crown, corrects that tooth', () => {
    const row = archOrder('upper').slice(1, 15);
    const clicks = row.map((tooth) => clickOf(tooth, 'upper'));
    const [x, y, z] = place(16, 'upper');
    const edge: Vec3 = [x + 3, y - 3.2, z];
    expect(nextToothNumber('upper', clicks, [], edge, 16)).toMatchObject({ tooth: 16, sure: false });
    expect(nextToothNumber('upper', clicks, [], edge, 16)!.question?.sentence).toContain('does it correct');
    const all = archOrder('upper').map((tooth) => clickOf(tooth, 'upper'));
    expect(nextToothNumber('upper', all, [], edge, 16)).toMatchObject({ tooth: 16, sure: false });
    expect(nextToothNumber('upper', all, [], edge, 0)).toBeNull();
  });

  it('takes a click on an unclicked tooth for that one, though a neighbour has swallowed it', () => {
    const clicks = [17, 16, 14, 13].map((tooth) => clickOf(tooth, 'upper'));
    expect(nextToothNumber('upper', clicks, [], place(15, 'upper'), 16)).toMatchObject({
      tooth: 15,
      sure: true,
    });
  });

  it('fills a place between clicked teeth', () => {
    const clicks = [17, 16, 14, 13].map((tooth) => clickOf(tooth, 'upper'));
    expect(nextToothNumber('upper', clicks, [], place(15, 'upper'))).toMatchObject({ tooth: 15, sure: true });
  });

  it('recognises a second click on a clicked tooth', () => {
    const clicks = [17, 16].map((tooth) => clickOf(tooth, 'upper'));
    const [x, y, z] = place(16, 'upper');
    const guess = nextToothNumber('upper', clicks, [], [x + 1, y, z])!;
    expect(guess).toMatchObject({ tooth: 16, sure: false });
    expect(guess.question?.sentence).toContain('already');
  });

  it('has no number left when all are taken', () => {
    const clicks = archOrder('upper').map((tooth) => clickOf(tooth, 'upper'));
    expect(nextToothNumber('upper', clicks, [], [0, 0, 0])).toBeNull();
  });
});
