import { describe, expect, it } from 'vitest';
import { answersClicks, earlierAnswer } from '../../src/teeth/known-state.ts';
import type { Click, ClickSet, Segmentation } from '../../src/teeth/types.ts';

const click = (tooth: number, x: number): Click => ({ tooth, point: [x, 0, 0] });
const set = (clicks: readonly Click[], missing: readonly number[] = []): ClickSet => ({
  jaw: 'upper',
  clicks,
  missing,
  fixed: [],
});
const two = [click(11, 0), click(21, 8)];
const made = (clicks: readonly Click[], missing: readonly number[] = []): Segmentation => ({
  labels: new Uint8Array([11, 21]),
  frame: { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] },
  warnings: [],
  memory: { clicks, missing, z: [0, 0, 1], places: [], frames: [], nodeLabels: new Uint8Array() },
});

describe('earlierAnswer', () => {
  it('builds on an answer that clicks were only added to', () => {
    expect(earlierAnswer(made(two), set([...two, click(22, 15)]))?.labels).toEqual(new Uint8Array([11, 21]));
    expect(earlierAnswer(made(two), set(two))).not.toBeNull();
  });

  it('begins anew after a click that was moved, taken away or renamed, or another absent tooth', () => {
    for (const clicks of [[click(11, 0), click(21, 8.1)], [click(11, 0)], [click(11, 0), click(22, 8)]]) {
      expect(earlierAnswer(made(two), set(clicks))).toBeNull();
    }
    expect(earlierAnswer(made(two), set(two, [12]))).toBeNull();
    expect(earlierAnswer(made(two, [12]), set(two, [13]))).toBeNull();
    expect(earlierAnswer(made(two, [12, 13]), set(two, [13, 12]))).not.toBeNull();
    const { memory: _, ...foreign } = made(two);
    expect(earlierAnswer(foreign, set(two))).toBeNull();
    expect(earlierAnswer(null, set(two))).toBeNull();
  });
});

describe('answersClicks', () => {
  it('holds for the very clicks and absent teeth, for nothing else', () => {
    expect(answersClicks(made(two, [12]), set(two, [12]))).toBe(true);
    expect(answersClicks(made(two), set([...two, click(22, 15)]))).toBe(false);
    expect(answersClicks(made(two), set(two, [12]))).toBe(false);
    expect(answersClicks(made(two, [12]), set(two))).toBe(false);
  });
});
