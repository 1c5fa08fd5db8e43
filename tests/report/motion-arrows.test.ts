import { describe, expect, it } from 'vitest';
import type { ToothMotion } from '../../src/closure/types.ts';
import { archMap, renderArchMapSvg } from '../../src/report/arch-map-svg.ts';
import { motionArrows } from '../../src/report/motion-arrows.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';

const SIZE = { widthPx: 390, heightPx: 310 };

function motion(tooth: number, dxMm: number, dyMm: number, rotationRad = 0): ToothMotion {
  return { tooth, dxMm, dyMm, rotationRad, mesialMm: dxMm, buccalMm: dyMm } as ToothMotion;
}

/** Tip less tail of an arrow, px. */
function vector({ head, shaft }: { head: string; shaft: string }): [number, number] {
  const [x0, y0] = shaft.match(/-?[\d.]+/g)!.map(Number);
  const [x1, y1] = head.match(/-?[\d.]+/g)!.map(Number);
  return [x1! - x0!, y1! - y0!];
}

describe('motionArrows', () => {
  const upper = archMap(threeSpaces(), SIZE, 'iso');

  it('draws a motion as long as the map and the factor make it, to where it goes', () => {
    const { arrows, exaggeration } = motionArrows(upper, 'upper', [motion(11, 0.3, -0.4)], 'iso', 5);
    expect(exaggeration).toBe(5);
    const [dx, dy] = vector(arrows[0]!);
    // Patient's left is the right of the page; backwards is down in an upper arch.
    expect(dx).toBeCloseTo(0.3 * 5 * upper.pxPerMm, 1);
    expect(dy).toBeCloseTo(0.4 * 5 * upper.pxPerMm, 1);
  });

  it('backwards is up in a lower arch', () => {
    const lower = archMap(makeAnalysis({ jaw: 'lower' }), SIZE, 'iso');
    const [arrow] = motionArrows(lower, 'lower', [motion(41, 0, -0.4)], 'iso', 10).arrows;
    expect(vector(arrow!)[1]).toBeCloseTo(-0.4 * 10 * lower.pxPerMm, 1);
  });

  it('chooses a factor that keeps every arrow shorter than a crown', () => {
    const small = motionArrows(upper, 'upper', [motion(11, 0.05, 0), motion(12, 0.02, 0)], 'iso');
    const large = motionArrows(upper, 'upper', [motion(11, 0.6, 0)], 'iso');
    expect(small.exaggeration).toBeGreaterThan(large.exaggeration);
    for (const { arrows } of [small, large]) {
      expect(Math.max(...arrows.map((arrow) => Math.hypot(...vector(arrow))))).toBeLessThan(35);
    }
    expect(motionArrows(upper, 'upper', [motion(11, 30, 0)], 'iso').exaggeration).toBe(1);
  });

  it('leaves out what prints as nothing', () => {
    expect(motionArrows(upper, 'upper', [motion(11, 0.004, 0, 0.0002)], 'iso').arrows).toEqual([]);
    expect(motionArrows(upper, 'upper', [], 'iso').arrows).toEqual([]);
  });

  it('says the motion in words', () => {
    const [arrow] = motionArrows(upper, 'upper', [motion(11, 0.24, -0.05, 0.0175)], 'universal').arrows;
    expect(arrow!.title).toBe('8: 0.24 mm mesial, 0.05 mm inward, turns 1.0° counter-clockwise');
  });

  it('turns counter-clockwise on the page for a positive turn: the arc ends left of where it began', () => {
    for (const [turn, side] of [
      [0.1, -1],
      [-0.1, 1],
    ] as const) {
      const [arrow] = motionArrows(upper, 'upper', [motion(11, 0, 0, turn)], 'iso', 10).arrows;
      const numbers = arrow!.turn.match(/-?[\d.]+/g)!.map(Number);
      expect(Math.sign(numbers[numbers.length - 2]! - numbers[0]!)).toBe(side);
      expect(arrow!.shaft).toBe('');
    }
  });

  it('stands on the map in place of what is told at the contacts', () => {
    const svg = renderArchMapSvg(upper, motionArrows(upper, 'upper', [motion(11, 0.3, 0)], 'iso'));
    expect(svg.match(/am-motion/g)).toHaveLength(1);
    expect(svg).not.toContain('am-contact');
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });
});
