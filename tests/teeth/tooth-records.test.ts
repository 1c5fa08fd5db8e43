import { beforeAll, describe, expect, it } from 'vitest';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import { measureTeeth } from '../../src/teeth/tooth-records.ts';
import type { ClickSet, Segmentation, ToothRecord } from '../../src/teeth/types.ts';
import { LABELLED_CASES, type LabelledCase, readLabelledCase, sharedDataPresent } from './shared-scans.ts';

/** A field of 0.25 mm squares in the plane z = height(x, y), split into triangles. */
function field(width: number, depth: number, height: (x: number, y: number) => number): TriangleMesh {
  const step = 0.25;
  const [nx, ny] = [Math.round(width / step), Math.round(depth / step)];
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let j = 0; j <= ny; j++) {
    for (let i = 0; i <= nx; i++) {
      const [x, y] = [i * step, j * step];
      positions.push(x, y, height(x, y));
      if (i === nx || j === ny) continue;
      const a = j * (nx + 1) + i;
      triangles.push(a, a + 1, a + nx + 2, a, a + nx + 2, a + nx + 1);
    }
  }
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

describe('measureTeeth', () => {
  // Two boxes of 6 x 5 mm, 3 mm high, side by side along x (patient's left), gum around: 12 from 3 to 9, 11 from 9.
  const mesh = field(24, 15, (x, y) => (x > 3.1 && x < 14.9 && y > 5.1 && y < 9.9 ? 3 : 0));
  const labels = Uint8Array.from({ length: mesh.triangles.length / 3 }, (_, f) => {
    let [x, y] = [0, 0];
    for (let k = 0; k < 3; k++) {
      x += mesh.positions[3 * mesh.triangles[3 * f + k]!]! / 3;
      y += mesh.positions[3 * mesh.triangles[3 * f + k]! + 1]! / 3;
    }
    if (y < 5 || y > 10 || x < 3 || x > 15) return 0;
    return x < 9 ? 12 : 11;
  });
  const segmentation: Segmentation = {
    labels,
    frame: { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] },
    warnings: [],
  };
  const set: ClickSet = { jaw: 'upper', clicks: [], missing: [], fixed: [11] };
  const records = measureTeeth(mesh, segmentation, set);

  it('gives the sizes of two boxes side by side, in arch order', () => {
    expect(records.map((record) => record.tooth)).toEqual([12, 11]);
    for (const record of records) {
      // The triangles of a square are not symmetric, so the arch turns by a quarter of a degree: 6 x 0.004 mm.
      expect(Math.abs(record.mesiodistalMm! - 6)).toBeLessThan(0.03);
      expect(Math.abs(record.buccolingualMm! - 5)).toBeLessThan(0.03);
      expect(record.crownHeightMm).toBeCloseTo(3, 6);
    }
    // The outer walls draw both centres outwards alike.
    expect(records[0]!.centre[0] + records[1]!.centre[0]).toBeCloseTo(18, 1);
    expect(records.map((record) => record.fixed)).toEqual([false, true]);
  });

  it('gives the area of each label', () => {
    const total = records.reduce((sum, record) => sum + record.areaMm2, 0);
    // Tops and flat rims 12 x 5; the walls are one step wide, so each adds (hypot(0.25, 3) - 0.25) per mm of rim.
    const walls = 2 * (11.75 + 4.75) * (Math.hypot(0.25, 3) - 0.25);
    expect(total).toBeGreaterThan(60 + 0.95 * walls);
    expect(total).toBeLessThan(60 + 1.05 * walls);
  });

  it('has nothing to say about labels without a tooth', () => {
    expect(measureTeeth(mesh, { ...segmentation, labels: new Uint8Array(labels.length) }, set)).toEqual([]);
  });
});

describe.runIf(sharedDataPresent())('measureTeeth on synthetic scans', () => {
  describe.each(LABELLED_CASES.slice(1, 3))('%s', (name) => {
    let labelled: LabelledCase;
    let records: ToothRecord[];
    beforeAll(async () => {
      labelled = readLabelledCase(name);
      const set = labelled.clicks.get('clicks.json')!;
      const segmentation = segmentTeeth(await prepareTeeth(labelled.scan), set);
      records = measureTeeth(labelled.scan, segmentation, set);
    });

    it('gives mesiodistal widths within 0.3 mm of the truth, 0.1 mm on average', () => {
      expect(records.length).toBe(14);
      const errors = records.map((record) => {
        const truth = labelled.facts!.teeth.find((tooth) => tooth.iso === record.tooth)!;
        return record.mesiodistalMm! - truth.true_mesiodistal_width_mm;
      });
      expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.3);
      expect(Math.abs(errors.reduce((sum, error) => sum + error, 0) / errors.length)).toBeLessThan(0.1);
    });

    it('gives centres near the true ones and sizes that a crown can have', () => {
      for (const record of records) {
        const truth = labelled.facts!.teeth.find((tooth) => tooth.iso === record.tooth)!;
        expect(distance(record.centre, truth.centre as Vec3)).toBeLessThan(2);
        expect(record.crownHeightMm).toBeGreaterThan(0.5 * truth.crown_height_mm);
        expect(record.crownHeightMm).toBeLessThan(1.3 * truth.crown_height_mm);
        expect(record.buccolingualMm).toBeGreaterThan(4);
        expect(record.buccolingualMm).toBeLessThan(13);
      }
    });
  });
});
