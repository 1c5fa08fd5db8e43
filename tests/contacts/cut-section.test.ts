import { describe, expect, it } from 'vitest';
import { cutSection } from '../../src/contacts/cut-section.ts';
import { type LabelledArch, measureArch } from '../../src/contacts/measure-arch.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { fitArchCurve } from '../../src/teeth/arch-curve.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';
import { makeWallPair, quarticWall } from '../helpers/wall-pair.ts';

const frame: OcclusalFrame = { origin: [0, 0, 3], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
const centres = new Map<number, Vec3>([
  [11, [-4, 0, 0]],
  [21, [4, 0, 0]],
]);

async function measured(gapMm: number) {
  // 0.3 / 2 y^2 + 0.5 / 2 z^2 behind the foremost point of both walls
  const wall = quarticWall(0.3, 0.5, 0, 0);
  const { mesh, labels } = makeWallPair({ a: wall, b: wall, gapMm, edgeMm: 0.2, noiseMm: 0, seed: 1 });
  const curve = fitArchCurve(frame, [...centres.values()]);
  const arch: LabelledArch = { mesh, labels, jaw: 'upper', frame, curve, centres };
  const contacts = await measureArch(arch, { limitMm: 0.1 }, UNATTENDED);
  const analysis = { frame, jaw: 'upper', teeth: [], contacts } as unknown as Analysis;
  return { mesh, labels, analysis, contact: contacts[0]! };
}

describe('cutSection', () => {
  it('shows both walls as the plane cuts them, the points and the fitted walls, all in one frame', async () => {
    const { mesh, labels, analysis, contact } = await measured(0.4);
    const section = cutSection(mesh, { labels }, analysis, contact);
    expect(section.u).toEqual([1, 0, 0]);
    expect(section.v).toEqual([0, 0, 1]);
    expect(section.linesGum).toEqual([]);
    expect(section.a![0]).toBeCloseTo(-0.2, 3);
    expect(section.b![0]).toBeCloseTo(0.2, 3);
    expect(section.b![0] - section.a![0]).toBeCloseTo(contact.gap!.valueMm, 3);
    expect(section.outOfPlaneMm).toBeLessThan(0.01);
    for (const [lines, side] of [
      [section.linesA, -1],
      [section.linesB, 1],
      [[section.fitA!], -1],
      [[section.fitB!], 1],
    ] as const) {
      const points = lines.flatMap((line) =>
        Array.from({ length: line.length / 2 }, (_, i) => [line[2 * i]!, line[2 * i + 1]!]),
      );
      expect(points.length).toBeGreaterThan(10);
      // the wall in the plane y = 0: u = side (gap/2 + 0.25 z^2), with z counted from the closest place
      const rise = section.origin[2];
      for (const [u, v] of points as [number, number][]) {
        expect(Math.abs(u - side * (0.2 + 0.25 * (v + rise) ** 2))).toBeLessThan(0.012);
      }
    }
  });

  it('heights count from the occlusal plane towards the gum', async () => {
    const { contact } = await measured(0.4);
    expect(contact.heightMm).toBeCloseTo(3, 1);
    expect(Math.abs(contact.slipMm!)).toBeLessThan(0.02);
  });

  it('a contact without points is cut between the teeth, without dimension', async () => {
    const { mesh, labels, analysis, contact } = await measured(0.4);
    const { fittedWalls: _, ...plain } = contact;
    const unseen = { ...plain, gap: null, pointA: null, pointB: null };
    const teeth = [...centres].map(([tooth, centre]) => ({ tooth, centre }));
    const section = cutSection(mesh, { labels }, { ...analysis, teeth } as unknown as Analysis, unseen);
    expect(section.origin).toEqual([0, 0, 0]);
    expect(section).toMatchObject({ a: null, b: null, outOfPlaneMm: 0 });
    expect(section.fitA).toBeUndefined();
    expect(section.linesA.length).toBeGreaterThan(0);
  });
});
