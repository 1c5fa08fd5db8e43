// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { gather, SLOT_COUNT, slotOf, splitByLabel } from '../../../src/app/view/display-mesh.ts';
import { archOrder } from '../../../src/teeth/notation.ts';

// 3---2---5
// | \ | \ |     labels: left square 11 11, right square 21 0
// 0---1---4
const triangles = new Uint32Array([0, 1, 3, 1, 2, 3, 1, 4, 2, 4, 5, 2]);
const labels = new Uint8Array([11, 11, 21, 0]);

describe('splitByLabel', () => {
  const split = splitByLabel(triangles, 6, labels);

  it('keeps the place of every corner and the order of triangles', () => {
    expect([...split.index].map((v) => split.source[v])).toEqual([...triangles]);
  });

  it('gives every triangle vertices of its own label only', () => {
    for (let t = 0; t < labels.length; t++) {
      for (let k = 0; k < 3; k++) expect(split.label[split.index[3 * t + k]!]).toBe(labels[t]);
    }
  });

  it('duplicates only where labels meet: 1 once, 2 twice, 4 once', () => {
    expect([...split.shared]).toEqual([0, 1, 1, 0, 1, 0]);
    expect(split.source.length).toBe(6 + 1 + 2 + 1);
  });

  it('changes nothing on a scan of one label', () => {
    const whole = splitByLabel(triangles, 6, new Uint8Array(4));
    expect([...whole.index]).toEqual([...triangles]);
    expect(whole.source.length).toBe(6);
  });

  it('gathers vertex data for the copies', () => {
    const values = Float32Array.from({ length: 12 }, (_, i) => i);
    const out = gather(values, 2, split.source);
    split.source.forEach((v, i) => {
      expect([out[2 * i], out[2 * i + 1]]).toEqual([2 * v, 2 * v + 1]);
    });
  });
});

describe('slotOf', () => {
  it('gives gum and all 32 teeth a place of their own', () => {
    const places = [0, ...archOrder('upper'), ...archOrder('lower')].map(slotOf);
    expect(new Set(places).size).toBe(33);
    expect(Math.max(...places)).toBe(SLOT_COUNT - 1);
  });

  it('takes anything else for gum', () => {
    expect([9, 19, 20, 51, 255].map(slotOf)).toEqual([0, 0, 0, 0, 0]);
  });
});
