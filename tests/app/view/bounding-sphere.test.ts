// @vitest-environment node
import { Sphere, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { boundingSphere, sampleVertices } from '../../../src/app/view/bounding-sphere.ts';

/** Five pairs of vertices 1 mm apart, in a row. */
const positions = new Float32Array(30);
for (let i = 0; i < 5; i++) positions.set([i, 0, 0, i, 1, 0], 6 * i);

describe('sampleVertices and boundingSphere', () => {
  it('take every k-th vertex and enclose them', () => {
    expect(sampleVertices(positions, 5).length).toBe(15);
    expect(sampleVertices(positions, 1000)).toEqual(positions);
    const { centre, radiusMm } = boundingSphere(positions);
    expect(centre[0]).toBeCloseTo(2, 6);
    expect(radiusMm).toBeCloseTo(Math.hypot(2, 0.5), 6);
    // Around the middle of the box, as three makes it.
    const uneven = new Float32Array([0, 0, 0, 9, 1, 2, 1, 7, -4, 3, 2, 5]);
    const sphere = new Sphere().setFromPoints(
      [0, 3, 6, 9].map((i) => new Vector3(uneven[i], uneven[i + 1], uneven[i + 2])),
    );
    expect(boundingSphere(uneven)).toEqual({ centre: sphere.center.toArray(), radiusMm: sphere.radius });
    expect(boundingSphere(new Float32Array())).toEqual({ centre: [0, 0, 0], radiusMm: 0 });
  });
});
