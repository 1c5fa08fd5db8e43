// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { applyPatch, patchBetween } from '../../../src/app/view/block-patch.ts';

describe('patchBetween and applyPatch', () => {
  const before = Uint32Array.from({ length: 20_000 }, (_, i) => i);

  it.each([
    ['nothing', []],
    ['the first element', [0]],
    ['the last element', [19_999]],
    ['neighbours over a block border', [3071, 3072]],
    ['places far apart', [5, 9000, 9001, 15_000]],
    ['all', [...before.keys()]],
  ])('turn the one state into the other: %s', (_, places) => {
    const after = before.slice();
    for (const place of places) after[place] = 7 + place;
    const target = before.slice();
    const told = new Set<number>();
    applyPatch(target, patchBetween(before, after), (start, length) => {
      for (let i = start; i < start + length; i++) told.add(i);
    });
    expect(target).toEqual(after);
    for (const place of places) expect(told.has(place)).toBe(true);
  });

  it('carry only the blocks that changed, neighbours as one run', () => {
    const after = before.slice();
    after[3000] = 0;
    after[3100] = 0;
    after[12_300] = 0;
    const { starts, lengths, values } = patchBetween(before, after);
    expect([...starts]).toEqual([0, 12_288]);
    expect([...lengths]).toEqual([6144, 3072]);
    expect(values.length).toBe(9216);
  });

  it('know zero from minus zero no more than the eye does, and carry NaN', () => {
    const a = Float32Array.of(0, 1);
    const b = Float32Array.of(-0, Number.NaN);
    const target = a.slice();
    applyPatch(target, patchBetween(a, b), () => {});
    expect(target[1]).toBeNaN();
  });
});
