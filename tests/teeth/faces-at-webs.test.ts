import { describe, expect, it } from 'vitest';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { triangleCentroids } from '../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { facesAtWebs } from '../../src/teeth/faces-at-webs.ts';
import type { CrownFrame } from '../../src/teeth/types.ts';
import { heightField } from '../helpers/height-field.ts';

/** Only the occlusal direction of the frames is read. */
const frames = (z: Vec3) =>
  [16, 15, 14].map(
    (tooth): CrownFrame => ({
      tooth,
      origin: [0, 0, 0],
      m: [1, 0, 0],
      b: [0, 1, 0],
      z,
      limitBackMm: 4,
      limitOnMm: 4,
      halfBuccolingualMm: 4,
      heightMm: 6,
      freeBack: false,
      freeOn: false,
    }),
  );

/** Teeth 0 and 1 meet at x = 0 for |y| < 1.4, gum beyond; the ground along the border rises like an arch. */
function meeting(riseMm: number, turned: (p: Vec3) => Vec3 = (p) => p) {
  const { mesh, labels } = heightField(
    2,
    3,
    0.2,
    (x, y) => 0.6 * x * x - (riseMm * y * y) / 1.4 ** 2,
    (x, y) => (Math.abs(y) > 1.4 ? 0 : x < 0 ? 1 : 2),
  );
  const count = mesh.positions.length / 3;
  const positions = new Float32Array(3 * count);
  for (let v = 0; v < count; v++) {
    const p: Vec3 = [mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!];
    positions.set(turned(p), 3 * v);
  }
  const moved = { ...mesh, positions };
  return {
    fabric: { adjacency: faceAdjacency(moved.triangles, count), mesh: moved },
    labels,
  };
}

describe('facesAtWebs', () => {
  it('lists both sides of a border that rises as a web does, each face once', () => {
    const { fabric, labels } = meeting(2);
    const faces = facesAtWebs(fabric, labels, frames([0, 0, 1]));
    expect(new Set(faces).size).toBe(faces.length);
    // 14 squares along the border, one triangle of each on either side.
    expect(faces.filter((f) => labels[f] === 1)).toHaveLength(14);
    expect(faces.filter((f) => labels[f] === 2)).toHaveLength(14);
    const centroid = triangleCentroids(fabric.mesh);
    for (const f of faces) expect(Math.abs(centroid[3 * f]!)).toBeLessThan(0.2);
  });

  it('lists none where labels met over a level or a low papilla', () => {
    for (const rise of [0, 0.3, 0.8]) {
      const { fabric, labels } = meeting(rise);
      expect(facesAtWebs(fabric, labels, frames([0, 0, 1]))).toEqual([]);
    }
  });

  it('measures the rise along the crown, however the scan lies', () => {
    const upright = meeting(2);
    const lying = meeting(2, ([x, y, z]) => [z, x, y]);
    expect(facesAtWebs(lying.fabric, lying.labels, frames([1, 0, 0]))).toEqual(
      facesAtWebs(upright.fabric, upright.labels, frames([0, 0, 1])),
    );
  });

  it('lists none where teeth meet only gum', () => {
    const { fabric, labels } = meeting(2);
    const apart = labels.map((label) => (label === 2 ? 0 : label));
    expect(facesAtWebs(fabric, apart, frames([0, 0, 1]))).toEqual([]);
  });
});
