import { beforeAll, describe, expect, it } from 'vitest';
import type { SyntheticArch } from '../../fixtures/make-arch.ts';
import { composeMotions, invertMotion, movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { type ArchAlignment, alignArch, type LabelledTeeth } from '../../src/teeth/align-arch.ts';
import { carryClicks } from '../../src/teeth/carry-clicks.ts';
import { earlierArch } from '../helpers/earlier-later.ts';
import { seededNormal } from '../helpers/random.ts';

const POSE = rotationAbout([0, 0, 0], [1, 3, -2], 2.8, [70, -20, 15]);
/** One tooth moves on its own: 21, by 0.4 mm and 3 degrees. */
const OWN = rotationAbout([0, 0, 0], [0, 0, 1], 0.05, [0.4, 0, 0]);

describe('alignArch', () => {
  let arch: SyntheticArch;
  let earlier: LabelledTeeth;
  let found: ArchAlignment;
  let later: { positions: Float32Array; triangles: Uint32Array };
  beforeAll(async () => {
    arch = earlierArch();
    const teeth = arch.truth.teeth.map(({ tooth, centre }) => ({ tooth, centre: centre as Vec3 }));
    earlier = { mesh: arch, labels: arch.labelsPerTriangle, teeth };
    const normal = seededNormal(6);
    const positions = movePositions(POSE, arch.positions);
    const moved = movePositions(composeMotions(POSE, OWN), arch.positions);
    for (let t = 0; t < arch.labelsPerTriangle.length; t += 1) {
      if (arch.labelsPerTriangle[t] !== 21) continue;
      for (const v of arch.triangles.subarray(3 * t, 3 * t + 3)) {
        positions.set(moved.subarray(3 * v, 3 * v + 3), 3 * v);
      }
    }
    later = { positions: positions.map((x) => x + 0.01 * normal()), triangles: arch.triangles };
    found = await alignArch(earlier, later);
  }, 60_000);

  it('finds every tooth again in any pose, each with its own motion', () => {
    expect(found.teeth.map(({ tooth, sighting }) => `${tooth} ${sighting}`)).toEqual([
      '12 recognised',
      '11 recognised',
      '21 recognised',
      '22 recognised',
    ]);
    for (const { tooth, motion } of found.teeth) {
      const truth = tooth === 21 ? composeMotions(POSE, OWN) : POSE;
      const centre = earlier.teeth.find((record) => record.tooth === tooth)!.centre;
      const back = composeMotions(invertMotion(truth), motion);
      const [x, y, z] = movePositions(back, Float32Array.from(centre));
      expect(Math.hypot(x! - centre[0], y! - centre[1], z! - centre[2])).toBeLessThan(0.006);
    }
    expect(found.medianOffsetMm).toBeLessThan(0.012);
    const moved = found.teeth.find(({ tooth }) => tooth === 21)!;
    expect(moved.shiftMm).toBeGreaterThan(0.2);
  });

  it('carries a click onto every crown of the new scan', () => {
    const frame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] } as const;
    const axis = arch.truth.teeth[0]!.occlusalAxis as Vec3;
    const set = carryClicks(
      { ...earlier, jaw: 'upper', frame: { ...frame, z: axis }, missing: [23], fixed: [11, 23] },
      found,
      later,
    );
    expect(set.missing).toEqual([23]);
    expect(set.fixed).toEqual([11]);
    expect(set.clicks.map(({ tooth }) => tooth)).toEqual([12, 11, 21, 22]);
    for (const { tooth, point } of set.clicks) {
      let nearest = 0;
      let least = Number.POSITIVE_INFINITY;
      for (let t = 0; t < later.triangles.length / 3; t += 1) {
        const v = 3 * later.triangles[3 * t]!;
        const d = Math.hypot(...[0, 1, 2].map((k) => later.positions[v + k]! - point[k]!));
        if (d < least) {
          least = d;
          nearest = arch.labelsPerTriangle[t]!;
        }
      }
      expect(nearest).toBe(tooth);
    }
  });

  it('calls a crown of another shape changed, and one that is not there not seen', async () => {
    const positions = later.positions.slice();
    const kept: number[] = [];
    for (let t = 0; t < arch.labelsPerTriangle.length; t += 1) {
      const corners = later.triangles.subarray(3 * t, 3 * t + 3);
      if (arch.labelsPerTriangle[t] === 12) continue;
      kept.push(...corners);
    }
    const fewer = { positions, triangles: Uint32Array.from(kept) };
    const again = await alignArch(earlier, fewer);
    expect(again.teeth.find(({ tooth }) => tooth === 12)!.sighting).not.toBe('recognised');
    expect(again.teeth.filter(({ sighting }) => sighting === 'recognised')).toHaveLength(3);
  });

  it('refuses a surface without these teeth', async () => {
    const flat = later.positions.map((x, i) => (i % 3 === 2 ? 0.3 * x : x * 1.2));
    await expect(alignArch(earlier, { positions: flat, triangles: later.triangles })).rejects.toMatchObject({
      code: 'SCANS_DO_NOT_MATCH',
    });
  });
});
