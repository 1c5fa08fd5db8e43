// @vitest-environment node
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { DisplayReply } from '../../../src/app/view/display-messages.ts';
import type { SurfaceArrays } from '../../../src/app/view/drawn-surface.ts';
import { makeRestorationDisplay } from '../../../src/app/view/restoration-display.ts';
import { FakeWorker } from './fake-worker.ts';
import { sphere } from './sphere.ts';

const ARRAYS: SurfaceArrays = {
  position: new Float32Array(9),
  normal: new Float32Array(9),
  shade: new Float32Array(3),
  paint: new Uint8Array(12),
  index: Uint32Array.of(0, 1, 2),
};

beforeEach(() => {
  FakeWorker.made = [];
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

function made() {
  const shown: (SurfaceArrays | null)[] = [];
  return { shown, display: makeRestorationDisplay((arrays) => shown.push(arrays)) };
}
const workers = () => FakeWorker.made as FakeWorker<DisplayReply>[];

it('has a restoration prepared once, and lets its worker end when the surface is there', () => {
  vi.stubGlobal('Worker', FakeWorker);
  const { shown, display } = made();
  display.set(null);
  expect([workers().length, shown]).toEqual([0, []]);
  const crown = sphere(6, 4);
  display.set(crown);
  display.set(crown);
  expect(workers()).toHaveLength(1);
  expect(workers()[0]!.postMessage.mock.calls[0]![0].scan.triangles).toBe(crown.triangles);
  workers()[0]!.onmessage!({ data: { kind: 'surface', arrays: ARRAYS } });
  expect(shown).toEqual([ARRAYS]);
  expect(workers()[0]!.terminate).toHaveBeenCalled();
});

it('takes the one before away, also one that is still being prepared', () => {
  vi.stubGlobal('Worker', FakeWorker);
  const { shown, display } = made();
  display.set(sphere(6, 4));
  const [first] = workers();
  display.set(sphere(6, 5));
  expect(first!.terminate).toHaveBeenCalled();
  first!.onmessage!({ data: { kind: 'surface', arrays: ARRAYS } });
  expect(shown).toEqual([null]);
  workers()[1]!.onmessage!({ data: { kind: 'surface', arrays: ARRAYS } });
  display.set(null);
  expect(shown).toEqual([null, ARRAYS, null]);
});

it('is prepared by the page where no worker starts', async () => {
  vi.spyOn(console, 'warn').mockImplementation(() => {});
  vi.stubGlobal('Worker', undefined);
  const { shown, display } = made();
  const crown = sphere(6, 4);
  display.set(crown);
  await vi.waitFor(() => expect(shown).toHaveLength(1));
  const drawn = shown[0]!;
  expect([...drawn.position.subarray(0, crown.positions.length)]).toEqual([...crown.positions]);
  expect([...drawn.index]).toEqual([...crown.triangles]);
  // None of it bears the number of a tooth: it does not move with one.
  expect(drawn.paint.filter((_, i) => i % 4 === 3).every((slot) => slot === 0 || slot === 255)).toBe(true);
  display.stop();
});
