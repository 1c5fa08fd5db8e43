// @vitest-environment node
import { afterEach, describe, expect, it, vi } from 'vitest';
import { applyPatch } from '../../../src/app/view/block-patch.ts';
import { type DisplayReply, ownedBuffers } from '../../../src/app/view/display-messages.ts';
import { makeDisplayService } from '../../../src/app/view/display-service.ts';
import type { SurfaceArrays } from '../../../src/app/view/drawn-surface.ts';
import { scanSight } from '../../../src/app/view/scan-sight.ts';
import { simplifyMesh } from '../../../src/app/view/simplify-mesh.ts';
import { sphere } from './sphere.ts';

const ball = sphere(60, 5);
const count = ball.triangles.length / 3;
const NOT_HEAVY = { wholeUpTo: count, simplifiedTo: 1000 };
const HEAVY = { wholeUpTo: 5000, simplifiedTo: 3000 };

/** The sphere in slices along x: `widthMm` wide, with the numbers given in turn. */
function slices(widthMm: number, numbers: readonly number[]): Uint8Array {
  return Uint8Array.from({ length: count }, (_, t) => {
    const x = ball.positions[3 * ball.triangles[3 * t]!]!;
    return numbers[Math.floor((x + 5) / widthMm) % numbers.length]!;
  });
}

function started(detail = NOT_HEAVY, simplify: typeof simplifyMesh | null = simplifyMesh) {
  const replies: DisplayReply[] = [];
  const ask = makeDisplayService((reply) => replies.push(reply), simplify, detail);
  return { replies, ask, last: () => replies.at(-1)! };
}

/** What the page holds after a reply, from what it held before. */
function heldAfter(before: SurfaceArrays | null, reply: DisplayReply): SurfaceArrays {
  if (reply.kind === 'surface') return reply.arrays;
  if (reply.kind !== 'labels') throw new Error(`found a reply of kind ${reply.kind}`);
  if (reply.change.kind === 'whole') return reply.change.arrays;
  const { patch } = reply.change;
  for (const name of Object.keys(patch) as (keyof SurfaceArrays)[]) {
    applyPatch(before![name], patch[name] as never, () => {});
  }
  return before!;
}

afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

describe('makeDisplayService', () => {
  it('first sends how the scan is looked at, then the surface, then the pick tree of the whole scan', async () => {
    const { replies, ask } = started();
    await ask({ kind: 'scan', scan: ball });
    expect(replies.map(({ kind }) => kind)).toEqual(['sight', 'surface', 'tree']);
    expect(replies[0]).toEqual({ kind: 'sight', sight: scanSight(ball) });
    const { index, position } = heldAfter(null, replies[1]!);
    expect(index).toEqual(ball.triangles);
    expect(position.subarray(0, ball.positions.length)).toEqual(ball.positions);
  });

  it('by patches reaches the very surface that is made anew for the same labels', async () => {
    const one = started();
    await one.ask({ kind: 'scan', scan: ball });
    let held = heldAfter(null, one.replies[1]!);
    for (const labels of [slices(3, [11, 21, 0]), slices(2.4, [11, 12]), null, slices(1.1, [0, 31])]) {
      await one.ask({ kind: 'labels', labels });
      held = heldAfter(held, one.last());
      const fresh = started();
      await fresh.ask({ kind: 'scan', scan: ball });
      await fresh.ask({ kind: 'labels', labels });
      expect(held).toEqual(heldAfter(heldAfter(null, fresh.replies[1]!), fresh.last()));
    }
  });

  it('where memory is shared, keeps no arrays of its own: what the page changes is what the next patch begins from', async () => {
    const labelsInTurn = [slices(3, [11, 21, 0]), slices(1.1, [0, 31])];
    const plain = started();
    vi.stubGlobal('crossOriginIsolated', true);
    const { ask, replies, last } = started();
    await ask({ kind: 'scan', scan: ball });
    const held = heldAfter(null, replies[1]!);
    expect(Object.values(held).every(({ buffer }) => buffer instanceof SharedArrayBuffer)).toBe(true);
    expect(ownedBuffers(replies[1]!)).toEqual([]);
    const asSent = [];
    for (const labels of labelsInTurn) {
      await ask({ kind: 'labels', labels });
      expect(heldAfter(held, last())).toBe(held);
      asSent.push(structuredClone(last()));
    }
    vi.unstubAllGlobals();
    await plain.ask({ kind: 'scan', scan: ball });
    let expected = heldAfter(null, plain.replies[1]!);
    for (const [k, labels] of labelsInTurn.entries()) {
      await plain.ask({ kind: 'labels', labels });
      expect(asSent[k]).toEqual(plain.last());
      expected = heldAfter(expected, plain.last());
    }
    expect(held).toEqual(expected);
  });

  it('sends a small patch for a small change', async () => {
    const { ask, last } = started();
    await ask({ kind: 'scan', scan: ball });
    const labels = slices(5, [11, 21]);
    await ask({ kind: 'labels', labels });
    const changed = labels.slice();
    // In the middle of a tooth, late in the file: only the last blocks change.
    changed[count - 300] = 22;
    await ask({ kind: 'labels', labels: changed });
    const reply = last();
    if (reply.kind !== 'labels' || reply.change.kind !== 'patch') throw new Error('no patch came');
    expect(reply.change.patch.index.values.length).toBeLessThan(ball.triangles.length / 3);
    expect(reply.change.patch.paint.values.length).toBeLessThan(ball.positions.length / 3);
    expect(reply.present).toEqual([11, 21, 22]);
  });

  it('sends all of it once the room for doubled vertices is used up, and patches again afterwards', async () => {
    const { ask, replies, last } = started();
    await ask({ kind: 'scan', scan: ball });
    let held = heldAfter(null, replies[1]!);
    // Every triangle another tooth than its neighbours: each vertex is doubled.
    const torn = Uint8Array.from({ length: count }, (_, t) => [11, 21, 12, 22, 13][t % 5]!);
    await ask({ kind: 'labels', labels: torn });
    expect(last()).toMatchObject({ kind: 'labels', change: { kind: 'whole' } });
    held = heldAfter(held, last());
    expect(Math.max(...held.index)).toBeLessThan(held.shade.length);
    await ask({ kind: 'labels', labels: slices(5, [11, 21]) });
    expect(last()).toMatchObject({ kind: 'labels', change: { kind: 'patch' } });
    held = heldAfter(held, last());
    expect(new Set(held.index).size).toBeLessThan(ball.positions.length / 3 + 500);
  });

  it('draws a heavy scan by fewer triangles and outlines its teeth all the same', async () => {
    const { ask, replies, last } = started(HEAVY);
    await ask({ kind: 'scan', scan: ball });
    const held = heldAfter(null, replies[1]!);
    expect(held.index.length / 3).toBeLessThanOrEqual(3000);
    await ask({ kind: 'labels', labels: slices(5, [11, 21]) });
    const reply = last();
    if (reply.kind !== 'labels') throw new Error('no labels came');
    // One border, once for each of the two teeth: a circle of radius 5 mm where x = 0.
    const { from, to } = reply.outlines;
    let length = 0;
    for (let i = 0; i < from.length; i += 3) {
      length += Math.hypot(to[i]! - from[i]!, to[i + 1]! - from[i + 1]!, to[i + 2]! - from[i + 2]!) / 2;
      expect(Math.abs(from[i]!)).toBeLessThan(0.6);
    }
    expect(length).toBeGreaterThan(2 * Math.PI * 5 * 0.95);
    expect(length).toBeLessThan(2 * Math.PI * 5 * 1.2);
  });

  it.each([
    ['it fails', () => Promise.reject(new Error('no WebAssembly here'))],
    ['there is none', null],
  ])('draws a heavy scan whole where simplifying is not to be had: %s', async (_, simplify) => {
    const warn = vi.spyOn(console, 'warn').mockImplementation(() => {});
    const { ask, replies } = started(HEAVY, simplify);
    await ask({ kind: 'scan', scan: ball });
    expect(heldAfter(null, replies[1]!).index).toEqual(ball.triangles);
    expect(warn).toHaveBeenCalledTimes(simplify === null ? 0 : 1);
  });
});
