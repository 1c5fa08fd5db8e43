import { describe, expect, it } from 'vitest';
import { IDENTITY_MOTION, movePoint, movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { carryClicks } from '../../src/teeth/carry-clicks.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

const RADIUS = 4;
const FRAME = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] } as const;

/** Balls of 11, 21 and 22 in a row. */
function row() {
  const centres: Vec3[] = [-9, 0, 9].map((x) => [x, 0, 0]);
  const parts = centres.map((centre) => sphereMesh(RADIUS, 4, centre));
  const count = parts[0]!.positions.length / 3;
  const mesh = {
    positions: Float32Array.from(parts.flatMap(({ positions }) => [...positions])),
    triangles: Uint32Array.from(
      parts.flatMap(({ triangles }, k) => [...triangles].map((v) => v + k * count)),
    ),
  };
  const faces = parts[0]!.triangles.length / 3;
  const labels = new Uint8Array(3 * faces);
  for (const [k, tooth] of [11, 21, 22].entries()) labels.fill(tooth, k * faces, (k + 1) * faces);
  const teeth = [11, 21, 22].map((tooth, k) => ({ tooth, centre: centres[k]! }));
  return { mesh, labels, teeth, jaw: 'upper' as const, frame: FRAME, missing: [12], fixed: [11, 22] };
}

describe('carryClicks', () => {
  it('sets one click on the top of every crown in sight, by that tooth’s own motion', () => {
    const earlier = row();
    const motion = rotationAbout([0, 0, 0], [1, 2, 3], 0.7, [5, -3, 8]);
    const later = { ...earlier.mesh, positions: movePositions(motion, earlier.mesh.positions) };
    const seen = { motion, nearShare: 1, medianOffsetMm: 0, shiftMm: 0 };
    const alignment = {
      motion,
      medianOffsetMm: 0,
      teeth: [
        { tooth: 11, sighting: 'recognised' as const, ...seen },
        { tooth: 21, sighting: 'changed' as const, ...seen },
        { tooth: 22, sighting: 'not-seen' as const, ...seen, motion: IDENTITY_MOTION },
      ],
    };
    const { clicks, missing, fixed, jaw } = carryClicks(earlier, alignment, later);
    expect([jaw, missing, fixed]).toEqual(['upper', [12], [11]]);
    expect(clicks.map(({ tooth }) => tooth)).toEqual([11, 21]);
    for (const [k, click] of clicks.entries()) {
      const [x] = earlier.teeth[k]!.centre;
      // Samples stand half a millimetre apart.
      expect(distance(click.point, movePoint(motion, [x, 0, RADIUS]))).toBeLessThan(0.5);
    }
  });
});
