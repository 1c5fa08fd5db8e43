// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type LabelWish, layOutLabels } from '../../../src/app/view/label-layout.ts';

const ROOM = { width: 900, height: 600, top: 40, gap: 3 };

function overlaps(
  wishes: readonly LabelWish[],
  places: readonly { x: number; y: number }[],
  gap: number,
): number {
  let count = 0;
  for (let i = 0; i < places.length; i++) {
    for (let j = i + 1; j < places.length; j++) {
      const apartX = Math.abs(places[i]!.x - places[j]!.x) - (wishes[i]!.width + wishes[j]!.width) / 2;
      const apartY = Math.abs(places[i]!.y - places[j]!.y) - (wishes[i]!.height + wishes[j]!.height) / 2;
      if (apartX < gap - 0.02 && apartY < gap - 0.02) count++;
    }
  }
  return count;
}

describe('layOutLabels', () => {
  it('leaves labels alone that do not touch', () => {
    const wishes = [
      { x: 100, y: 100, width: 26, height: 18 },
      { x: 200, y: 100, width: 26, height: 18 },
    ];
    expect(layOutLabels(wishes, ROOM)).toEqual([
      { x: 100, y: 100 },
      { x: 200, y: 100 },
    ]);
  });

  it('parts two overlapping labels along the shorter way, half each', () => {
    const wishes = [
      { x: 300, y: 300, width: 26, height: 18 },
      { x: 304, y: 310, width: 26, height: 18 },
    ];
    const [a, b] = layOutLabels(wishes, ROOM);
    // 18 px high and 3 px apart: 21 between the middles, which had been 10 apart.
    expect(b!.y - a!.y).toBeGreaterThanOrEqual(21);
    expect(b!.y - a!.y).toBeLessThan(22);
    expect((a!.y + b!.y) / 2).toBeCloseTo(305, 6);
    expect(a!.x).toBeCloseTo(300, 6);
  });

  it('keeps clear of what is held, which stays where it is', () => {
    const wishes = [
      { x: 300, y: 300, width: 26, height: 18 },
      { x: 303, y: 302, width: 14, height: 14, held: true },
      { x: 310, y: 302, width: 14, height: 14, held: true },
    ];
    const [a, b, c] = layOutLabels(wishes, ROOM);
    expect([b, c]).toEqual([
      { x: 303, y: 302 },
      { x: 310, y: 302 },
    ]);
    // 16 px between the middles and 3 px apart.
    expect(Math.abs(a!.y - 302)).toBeGreaterThanOrEqual(19);
  });

  it('keeps labels inside the view and out of the strip at the top', () => {
    const [a] = layOutLabels([{ x: -50, y: 2, width: 26, height: 18 }], ROOM);
    expect(a).toEqual({ x: 16, y: 52 });
  });

  it('separates the sixteen numbers of an arch at any zoom and place', () => {
    expect.hasAssertions();
    fc.assert(
      fc.property(
        fc.double({ min: 40, max: 400, noNaN: true }),
        fc.double({ min: 250, max: 650, noNaN: true }),
        fc.double({ min: 200, max: 450, noNaN: true }),
        (size, midX, midY) => {
          const wishes = Array.from({ length: 16 }, (_, i) => {
            const angle = (Math.PI * i) / 15;
            return {
              x: midX - size * 0.5 * Math.cos(angle),
              y: midY - size * 0.7 * Math.sin(angle),
              width: 26,
              height: 18,
            };
          });
          expect(overlaps(wishes, layOutLabels(wishes, ROOM), ROOM.gap)).toBe(0);
        },
      ),
      { seed: 20260301, numRuns: 200 },
    );
  });

  it('moves labels little when the view moves little', () => {
    const at = (shift: number): LabelWish[] =>
      Array.from({ length: 14 }, (_, i) => ({
        x: 200 + 18 * i + shift,
        y: 300 + 3 * (i % 2),
        width: 26,
        height: 18,
      }));
    const before = layOutLabels(at(0), ROOM);
    const after = layOutLabels(at(0.5), ROOM);
    for (let i = 0; i < before.length; i++) {
      expect(Math.hypot(after[i]!.x - before[i]!.x, after[i]!.y - before[i]!.y)).toBeLessThan(3);
    }
  });
});
