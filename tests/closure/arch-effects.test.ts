import { describe, expect, it } from 'vitest';
import { archEffects } from '../../src/closure/arch-effects.ts';
import { type ArchModel, archModel } from '../../src/closure/arch-model.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { analysisOf } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

const arch = textbookArch(new Array<number>(13).fill(0));
const model: ArchModel = archModel(analysisOf(arch), DEFAULT_CLOSURE_SETTINGS);
const still = UPPER_14.map(() => ({ dx: 0, dy: 0, theta: 0 }));
const noChange = arch.gaps.map(() => 0);
const move = (named: Record<number, [number, number]>) =>
  still.map((m, i) => {
    const by = named[UPPER_14[i]!];
    return by ? { dx: by[0], dy: by[1], theta: 0 } : m;
  });

describe('effects on the arch', () => {
  it('nothing moves, nothing changes', () => {
    expect(archEffects(model, still, noChange)).toEqual({
      perimeterChangeMm: 0,
      depthChangeMm: 0,
      canineWidthChangeMm: 0,
      molarWidthChangeMm: 0,
      midlineShiftMm: 0,
      largestMotionMm: 0,
    });
  });

  it('perimeter is the sum of all changes of space, opened against closed', () => {
    const changes = noChange.map((_, k) => (k === 4 ? -0.4 : k === 6 ? 0.15 : 0));
    expect(archEffects(model, still, changes).perimeterChangeMm).toBeCloseTo(-0.25, 12);
  });

  it('depth: incisors back and last molars forward both make the arch shallower', () => {
    const moved = move({ 11: [0, -0.3], 21: [0, -0.5], 17: [0, 0.1], 27: [0, 0.2] });
    expect(archEffects(model, moved, noChange).depthChangeMm).toBeCloseTo(-0.55, 12);
  });

  it('widths between the canines and between the first molars', () => {
    const moved = move({ 13: [0.2, 0], 23: [-0.1, 0], 16: [-0.05, 0], 26: [0.15, 0] });
    const effects = archEffects(model, moved, noChange);
    expect(effects.canineWidthChangeMm).toBeCloseTo(-0.3, 12);
    expect(effects.molarWidthChangeMm).toBeCloseTo(0.2, 12);
  });

  it("midline: the shift of both centrals to the patient's left", () => {
    const moved = move({ 11: [0.3, 0], 21: [0.1, 0] });
    const effects = archEffects(model, moved, noChange);
    expect(effects.midlineShiftMm).toBeCloseTo(0.2, 12);
    expect(effects.largestMotionMm).toBeCloseTo(0.3, 12);
  });

  it('widths are null where a tooth of the pair is missing', () => {
    const part = archModel(
      analysisOf({
        teeth: arch.teeth.slice(0, 7),
        centres: arch.centres.slice(0, 7),
        pointsA: arch.pointsA.slice(0, 6),
        pointsB: arch.pointsB.slice(0, 6),
        gaps: arch.gaps.slice(0, 6),
      }),
      DEFAULT_CLOSURE_SETTINGS,
    );
    const effects = archEffects(part, still.slice(0, 7), noChange.slice(0, 6));
    expect(effects.canineWidthChangeMm).toBeNull();
    expect(effects.molarWidthChangeMm).toBeNull();
    expect(effects.depthChangeMm).toBe(0);
  });
});
