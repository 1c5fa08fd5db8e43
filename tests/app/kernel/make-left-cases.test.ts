import { createRoot } from 'solid-js';
import { describe, expect, it } from 'vitest';
import type { KeptCase } from '../../../src/app/kernel/create-files.ts';
import { createNotices } from '../../../src/app/kernel/create-notices.ts';
import { type Left, makeLeftCases } from '../../../src/app/kernel/make-left-cases.ts';

/** A state of a case; what is in it is looked at by nobody here. */
function stateOf(id: string, fileName: string, savedAt: number): Left {
  const arch = { scanKey: id, fileName, unit: null, originMm: null, inputs: {} };
  const stored = { version: 2, id, demo: false, arches: [arch], savedAt } as unknown as Left['stored'];
  return { id, stored, kept: {} as KeptCase, lock: Promise.resolve(null) };
}

function start() {
  const notices = createRoot(() => createNotices());
  return { left: makeLeftCases(notices), said: notices.lasting };
}

describe('cases that were left before they were saved', () => {
  it('are told of once the device refuses them, until nothing of them waits', () => {
    const { left, said } = start();
    const was = stateOf('a', 'upper.stl', 1);
    left.add(was);
    expect([left.of('a'), left.of('b'), said()]).toEqual([[was], [], []]);
    left.refused(was);
    expect(said()).toEqual([expect.stringMatching(/^upper\.stl was closed, but/)]);
    left.settle(was);
    expect([left.all(), left.has(was), said()]).toEqual([[], false, []]);
  });

  it('an older state that is refused late does not stand beside a newer one', () => {
    const { left, said } = start();
    const newer = stateOf('a', 'upper.stl', 2);
    left.add(newer);
    left.refused(stateOf('a', 'upper.stl', 1));
    expect([left.all(), said()]).toEqual([[newer], []]);
  });

  it('two of one name are told of until both are settled', () => {
    const { left, said } = start();
    const both = [stateOf('a', 'upper.stl', 1), stateOf('b', 'upper.stl', 2)] as const;
    for (const was of both) left.refused(was);
    left.settle(both[0]);
    expect(said()).toHaveLength(1);
    left.settle(both[1]);
    expect(said()).toEqual([]);
  });

  it.each([
    ['gone on with', 'goes on in another tab'],
    ['deleted', 'was deleted in another tab'],
  ] as const)('%s in another tab they wait no longer, and that is told once', (why, words) => {
    const { left, said } = start();
    const was = stateOf('a', 'upper.stl', 1);
    left.refused(was);
    left.forget(was, why);
    left.forget(was, why);
    expect(left.all()).toEqual([]);
    expect(said()).toEqual([expect.stringContaining(`upper.stl ${words}`)]);
  });
});
