import { createRoot } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { createPlayback } from '../../../src/app/kernel/create-playback.ts';
import type { ClosurePlan } from '../../../src/closure/types.ts';
import { makePlan } from '../features/harness.tsx';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const plan = makePlan({ limitMm: 0.1, maxStages: 3 } as ClosurePlan['settings']);
const make = () => createRoot((dispose) => ({ dispose, playback: createPlayback(() => plan) }));

it('plays the stages of the proposed span to the end and stops; played again it begins anew', () => {
  const { dispose, playback } = make();
  expect(playback.motions()).toBeNull();
  playback.setPlaying(true);
  vi.advanceTimersByTime(1400);
  expect(playback.stage()).toBeGreaterThan(0.9);
  expect(playback.stage()).toBeLessThan(1.1);
  expect(playback.scale()).toBeCloseTo((playback.stage() / 2) * playback.exaggeration(), 12);
  vi.advanceTimersByTime(5000);
  expect(playback.stage()).toBe(2);
  expect(playback.playing()).toBe(false);
  playback.setPlaying(true);
  expect(playback.stage()).toBe(0);
  dispose();
});

it('moved by hand it plays no further', () => {
  const { dispose, playback } = make();
  playback.setPlaying(true);
  playback.setStage(1.5);
  vi.advanceTimersByTime(3000);
  expect(playback.stage()).toBe(1.5);
  expect(playback.playing()).toBe(false);
  dispose();
});
