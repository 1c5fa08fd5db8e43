import { describe, expect, it } from 'vitest';
import { fitRestoration } from '../../src/contacts/fit-restoration.ts';
import { facingWall, fitView } from '../../src/contacts/fit-view.ts';
import { ballScene, RADIUS, TARGET } from '../helpers/ball-restoration.ts';

describe('fitView', () => {
  it('cuts both walls through the place and marks the overlap along the arch', async () => {
    const { restoration, scan } = ballScene(0.3, -0.2);
    const sides = await fitRestoration(restoration, 24, scan, TARGET);
    const [mesial, distal] = sides.map((side) => fitView(restoration, 24, scan, side)!);
    expect([mesial!.section.toothA, mesial!.section.toothB]).toEqual([23, 24]);
    expect([distal!.section.toothA, distal!.section.toothB]).toEqual([24, 25]);
    for (const [view, spaceMm] of [
      [mesial!, 0.3],
      [distal!, -0.2],
    ] as const) {
      const { a, b, linesA, linesB, outOfPlaneMm } = view.section;
      expect(Math.abs(b![0] - a![0] - spaceMm)).toBeLessThan(0.01);
      expect(outOfPlaneMm).toBeLessThan(0.02);
      expect([linesA.length, linesB.length].every((count) => count > 0)).toBe(true);
    }
    expect(mesial!.map!.bands[0]!.pieces).toHaveLength(0);
    expect(distal!.map!.bands[0]!.pieces.length).toBeGreaterThan(20);
    // The place lies in the middle of both drawings.
    expect(Math.hypot(...distal!.map!.point!)).toBeLessThan(1e-6);
  });

  it('has a cut but no map where the overlap is too deep to be measured', async () => {
    const { restoration, scan } = ballScene(0.3, -2);
    const [, distal] = await fitRestoration(restoration, 24, scan, TARGET);
    const view = fitView(restoration, 24, scan, distal!)!;
    expect(view.map).toBeNull();
    expect([view.section.a, view.section.linesA.length > 0]).toEqual([null, true]);
  });

  it('has nothing to draw where nothing stands', async () => {
    const { restoration, scan } = ballScene(0.1, 0.1);
    const alone = { ...scan, centres: new Map([...scan.centres].slice(0, 1)) };
    const [, distal] = await fitRestoration(restoration, 24, alone, TARGET);
    expect(fitView(restoration, 24, alone, distal!)).toBeNull();
  });
});

describe('facingWall', () => {
  it('takes the half of the neighbour that looks at the restoration', () => {
    const { scan } = ballScene(0.1, 0.1);
    const wall = facingWall(scan, 23, [1, 0, 0]);
    expect(wall.length).toBeGreaterThan(100);
    const middle = scan.centres.get(23)![0];
    for (const f of wall) {
      const v = scan.mesh.triangles[3 * f]!;
      expect(scan.mesh.positions[3 * v]!).toBeGreaterThan(middle);
      expect(scan.mesh.positions[3 * v]!).toBeLessThan(middle + RADIUS + 0.01);
    }
  });
});
