import { describe, expect, it } from 'vitest';
import { fitRestoration } from '../../src/contacts/fit-restoration.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

const RADIUS = 4;
const FRAME: OcclusalFrame = { origin: [0, 0, 3], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
const TARGET = { wideMm: 0, tightMm: -0.03 };

/** Balls of 23 and 25 as scanned teeth, and a ball of 24 between them with the given spaces. Lower half cut off. */
function scene(mesialMm: number, distalMm: number, middle: Vec3 = [0, 0, 0]) {
  const left: Vec3 = [-2 * RADIUS - mesialMm, 0, 0];
  const right: Vec3 = [2 * RADIUS + distalMm, 0, 0];
  const parts = [sphereMesh(RADIUS, 4, left), sphereMesh(RADIUS, 4, right)];
  const positions: number[] = [];
  const triangles: number[] = [];
  const labels: number[] = [];
  for (const [k, part] of parts.entries()) {
    const shift = positions.length / 3;
    positions.push(...part.positions);
    for (let f = 0; f < part.triangles.length; f += 3) {
      const corners = part.triangles.subarray(f, f + 3);
      // An open scan: nothing below the gum line.
      if ([...corners].every((v) => part.positions[3 * v + 2]! < -2.5)) continue;
      triangles.push(...[...corners].map((v) => v + shift));
      labels.push(k === 0 ? 23 : 25);
    }
  }
  const mesh: TriangleMesh = {
    positions: Float32Array.from(positions),
    triangles: Uint32Array.from(triangles),
  };
  const centres = new Map<number, Vec3>([
    [23, left],
    [25, right],
  ]);
  return {
    restoration: sphereMesh(RADIUS, 4, middle),
    scan: { mesh, labels: Uint8Array.from(labels), jaw: 'upper' as const, frame: FRAME, centres },
  };
}

function fitted(mesialMm: number, distalMm: number, target = TARGET) {
  const { restoration, scan } = scene(mesialMm, distalMm);
  const [mesial, distal] = fitRestoration(restoration, 24, scan, target);
  return { mesial: mesial!, distal: distal! };
}

describe('fitRestoration', () => {
  it('measures balls apart and through each other to a few micrometres', () => {
    for (const [m, d] of [
      [0.2, -0.1],
      [-0.25, 0.05],
      [0, -0.5],
    ] as const) {
      const { mesial, distal } = fitted(m, d);
      expect([mesial.side, distal.side]).toEqual(['mesial', 'distal']);
      // The fit follows facets of 0.3 mm edges, whose middles lie 3 um inside of each ball.
      expect(Math.abs(mesial.space!.valueMm - m)).toBeLessThan(0.01);
      expect(Math.abs(distal.space!.valueMm - d)).toBeLessThan(0.01);
      expect(Math.abs(mesial.space!.valueMm - m)).toBeLessThan(mesial.space!.u95Mm);
    }
  });

  it('says per side too tight, as wanted, open, and how much to add or take', () => {
    const { mesial, distal } = fitted(0.2, -0.2);
    expect([mesial.status, distal.status]).toEqual(['open', 'too-tight']);
    expect(mesial.addMm).toBeCloseTo(0.215, 1);
    expect(distal.addMm).toBeCloseTo(-0.185, 1);
    // Half a target of 0.03 mm is less than U: the estimate lies inside, the interval does not.
    expect(fitted(-0.015, 0.01).mesial.status).toBe('undecided');
    expect(fitted(-0.015, 0.015).distal.status).toBe('undecided');
    expect(fitted(0.2, 0.2, { wideMm: 0.25, tightMm: 0.15 }).mesial.status).toBe('as-wanted');
  });

  it('finds the place: height below the occlusal plane and buccal offset', () => {
    const { mesial } = fitted(0.1, 0.1);
    expect(mesial.heightMm).toBeCloseTo(3, 1);
    expect(mesial.buccalMm).toBeCloseTo(0, 1);
  });

  it('gives the area of two overlapping balls within a distance', () => {
    // Cap of one ball nearer than d to the other: height from the law of cosines, area 2 pi r h.
    const c = 2 * RADIUS - 0.2;
    const cap = (d: number): number => {
      const x = (RADIUS ** 2 + c ** 2 - (RADIUS + d) ** 2) / (2 * c);
      return 2 * Math.PI * RADIUS * (RADIUS - x);
    };
    const { distal } = fitted(0.3, -0.2);
    expect(distal.within20umMm2! / cap(0.02)).toBeCloseTo(1, 1);
    expect(distal.within50umMm2! / cap(0.05)).toBeCloseTo(1, 1);
    expect(fitted(0.3, 0.3).mesial.within50umMm2).toBe(0);
  });

  it('takes a crown that is open at its margin, and refuses one that is inside out or elsewhere', () => {
    const { restoration, scan } = scene(0.1, -0.1);
    const open: number[] = [];
    for (let f = 0; f < restoration.triangles.length; f += 3) {
      const corners = restoration.triangles.subarray(f, f + 3);
      if ([...corners].every((v) => restoration.positions[3 * v + 2]! < -3)) continue;
      open.push(...corners);
    }
    const [, distal] = fitRestoration(
      { ...restoration, triangles: Uint32Array.from(open) },
      24,
      scan,
      TARGET,
    );
    expect(distal!.space!.valueMm).toBeCloseTo(-0.1, 1);
    const turned = { ...restoration, triangles: restoration.triangles.slice().reverse() };
    const code = (work: () => unknown): string => {
      try {
        work();
      } catch (fault) {
        return (fault as { code: string }).code;
      }
      return 'none';
    };
    expect(code(() => fitRestoration(turned, 24, scan, TARGET))).toBe('RESTORATION_INSIDE_OUT');
    const far = sphereMesh(RADIUS, 3, [0, 40, 0]);
    expect(code(() => fitRestoration(far, 24, scan, TARGET))).toBe('RESTORATION_ELSEWHERE');
    expect(code(() => fitRestoration(restoration, 27, scan, TARGET))).toBe('NO_NEIGHBOURS');
  });
});
