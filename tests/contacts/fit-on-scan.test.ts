import { describe, expect, it } from 'vitest';
import { fitOnScan } from '../../src/contacts/fit-on-scan.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import type { Scan } from '../../src/scan/types.ts';
import { ballScene, TARGET } from '../helpers/ball-restoration.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';

const { restoration, scan: scene } = ballScene(0.3, -0.2);
const scan = scanOf(scene.mesh);
const ANALYSIS: Analysis = {
  ...makeAnalysis({ teeth: [23, 25] }),
  frame: scene.frame,
  teeth: makeAnalysis({ teeth: [23, 25] }).teeth.map((record) => ({
    ...record,
    centre: scene.centres.get(record.tooth)!,
  })),
};

/** The corners of a sphere mesh are all used and none lies twice, so triangles keep their order and number. */
function scanOf({ positions, triangles }: TriangleMesh): Scan {
  return makeScanFromArrays(positions, triangles);
}

const away = (mesh: TriangleMesh, by: Vec3): Scan => {
  const placed = scanOf(mesh);
  return { ...placed, originMm: by, positions: placed.positions.map((x, i) => x - by[i % 3]!) };
};

describe('fitOnScan', () => {
  it('measures a restoration whose file has another origin where it stands in the frame of the scan', async () => {
    const near = await fitOnScan(scanOf(restoration), 24, scan, scene.labels, ANALYSIS, TARGET);
    const far = await fitOnScan(away(restoration, [2, -1, 4]), 24, scan, scene.labels, ANALYSIS, TARGET);
    for (const { sides } of [near, far]) {
      expect(sides.map(({ side, neighbour }) => [side, neighbour])).toEqual([
        ['mesial', 23],
        ['distal', 25],
      ]);
      expect(Math.abs(sides[0]!.space!.valueMm - 0.3)).toBeLessThan(0.01);
      expect(Math.abs(sides[1]!.space!.valueMm + 0.2)).toBeLessThan(0.01);
    }
    expect(near.warnings).toEqual([]);
  });

  it('draws every side with the number of the table', async () => {
    const { sides, views } = await fitOnScan(scanOf(restoration), 24, scan, scene.labels, ANALYSIS, TARGET);
    for (const [k, view] of views.entries()) {
      expect(view!.contact.gap).toMatchObject(sides[k]!.space!);
      const { a, b } = view!.section;
      // Corners of the drawing are in 32-bit floats.
      expect(Math.abs(b![0] - a![0] - sides[k]!.space!.valueMm)).toBeLessThan(0.001);
      expect(view!.map).not.toBeNull();
    }
  });

  it('gives no height where the teeth of the scan show no occlusal plane, and passes its warnings on', async () => {
    const warning = { code: 'OCCLUSAL_APPROXIMATE', sentence: 'Few teeth.' };
    const few = { ...ANALYSIS, warnings: [warning] };
    const { sides, warnings } = await fitOnScan(scanOf(restoration), 24, scan, scene.labels, few, TARGET);
    expect(sides.map(({ heightMm }) => heightMm)).toEqual([null, null]);
    expect(sides.every(({ buccalMm }) => buccalMm !== null)).toBe(true);
    expect(warnings).toEqual([warning]);
  });

  it('says that a restoration is open at its margin, with how many edges', async () => {
    const cut = { ...restoration, triangles: withoutBottom(restoration) };
    const placed = scanOf(cut);
    const { warnings } = await fitOnScan(placed, 24, scan, scene.labels, ANALYSIS, TARGET);
    expect(placed.health.openEdges).toBeGreaterThan(0);
    expect(warnings).toMatchObject([{ code: 'RESTORATION_NOT_CLOSED' }]);
    expect(warnings[0]!.sentence).toContain(`has ${placed.health.openEdges} open edges`);
  });

  it('refuses a tooth of the other jaw', async () => {
    await expect(
      fitOnScan(scanOf(restoration), 34, scan, scene.labels, ANALYSIS, TARGET),
    ).rejects.toMatchObject({ code: 'TOOTH_WRONG_JAW' });
  });
});

function withoutBottom({ positions, triangles }: TriangleMesh): Uint32Array {
  const kept: number[] = [];
  for (let f = 0; f < triangles.length; f += 3) {
    const corners = triangles.subarray(f, f + 3);
    if (![...corners].every((v) => positions[3 * v + 2]! < -3)) kept.push(...corners);
  }
  return Uint32Array.from(kept);
}
