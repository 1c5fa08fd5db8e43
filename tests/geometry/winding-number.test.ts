import { describe, expect, it } from 'vitest';
import { closestPoint } from '../../src/geometry/closest-point.ts';
import { indexSurface } from '../../src/geometry/surface-index.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { facingOf, isInside, isInsideNear, windingNumber } from '../../src/geometry/winding-number.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';
import { seededRandom } from '../helpers/random.ts';

describe('windingNumber', () => {
  it('is 1 inside and 0 outside a closed surface, also when the triangles are turned over', () => {
    const box = boxMesh([0, 0, 0], [2, 2, 2]);
    const surface = indexSurface(box);
    expect(windingNumber(surface, [1, 0.3, 1.9])).toBeCloseTo(1, 12);
    expect(windingNumber(surface, [1, 0.3, 2.1])).toBeCloseTo(0, 12);
    expect(windingNumber(surface, [50, 40, -30])).toBeCloseTo(0, 12);
    const inverted = {
      positions: box.positions,
      triangles: box.triangles.map((_, i, t) => t[i % 3 === 1 ? i + 1 : i % 3 === 2 ? i - 1 : i]!),
    };
    const turned = indexSurface(inverted);
    expect(windingNumber(turned, [1, 1, 1])).toBeCloseTo(-1, 12);
    expect(isInside(turned, [1, 1, 1])).toBe(true);
    expect(isInside(turned, [1, 1, 3])).toBe(false);
  });

  it('of an open half sphere, at its centre, is one half: it sees half of all directions', () => {
    const sphere = sphereMesh(2, 3);
    const half: number[] = [];
    for (let t = 0; t < sphere.triangles.length / 3; t += 1) {
      let z = 0;
      for (let k = 0; k < 3; k += 1) z += sphere.positions[3 * sphere.triangles[3 * t + k]! + 2]!;
      if (z > 0) half.push(t);
    }
    expect(windingNumber(indexSurface(sphere, Uint32Array.from(half)), [0, 0, 0])).toBeCloseTo(0.5, 1);
  });

  it('a small hole does not turn the inside out', () => {
    const sphere = sphereMesh(2, 3);
    const some = Uint32Array.from({ length: sphere.triangles.length / 3 - 5 }, (_, i) => i + 5);
    const surface = indexSurface(sphere, some);
    expect(isInside(surface, [0.5, -0.5, 0.2])).toBe(true);
    expect(isInside(surface, [2.5, 0, 0])).toBe(false);
  });

  it('the quick answer next to a known nearest point equals the full one', () => {
    const box = boxMesh([0, 0, 0], [2, 2, 2]);
    const turnedOver = {
      positions: box.positions,
      triangles: box.triangles.map((_, i, t) => t[i % 3 === 1 ? i + 1 : i % 3 === 2 ? i - 1 : i]!),
    };
    const random = seededRandom(8);
    for (const mesh of [box, turnedOver, sphereMesh(1.4, 2, [1, 1, 1])]) {
      const surface = indexSurface(mesh);
      const turned = facingOf(surface);
      expect(turned).toBe(mesh === turnedOver ? -1 : 1);
      let inside = 0;
      for (let n = 0; n < 300; n += 1) {
        const p: Vec3 = [4 * random() - 1, 4 * random() - 1, 4 * random() - 1];
        const answer = isInsideNear(surface, p, closestPoint(surface, p)!, turned);
        expect(answer).toBe(isInside(surface, p));
        if (answer) inside += 1;
      }
      expect(inside).toBeGreaterThan(20);
    }
  });
});
