import { describe, expect, it } from 'vitest';
import { icosphere } from '../../fixtures/shapes.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { resizeMesh } from './resize-mesh.ts';

const ball = icosphere({ radius: 5, edgeMm: 1 });
const count = (mesh: TriangleMesh): number => mesh.triangles.length / 3;

/** Area, mm2, and by the divergence theorem the volume, mm3: both change when a triangle lies elsewhere or turns over. */
function areaAndVolume({ positions, triangles }: TriangleMesh): [number, number] {
  const sum: [number, number] = [0, 0];
  for (let f = 0; f < triangles.length; f += 3) {
    const at = (k: number) => positions.subarray(3 * triangles[f + k]!, 3 * triangles[f + k]! + 3);
    const [a, b, c] = [at(0), at(1), at(2)];
    const u = b.map((value, k) => value - a[k]!);
    const v = c.map((value, k) => value - a[k]!);
    const cross = [0, 1, 2].map((k) => u[(k + 1) % 3]! * v[(k + 2) % 3]! - u[(k + 2) % 3]! * v[(k + 1) % 3]!);
    sum[0] += Math.hypot(...cross) / 2;
    sum[1] += (a[0]! * cross[0]! + a[1]! * cross[1]! + a[2]! * cross[2]!) / 6;
  }
  return sum;
}

/** Sides that do not have a triangle on either hand. */
function openSides({ triangles }: TriangleMesh): number {
  const sides = new Set<string>();
  let open = 0;
  for (let corner = 0; corner < triangles.length; corner++) {
    const to = triangles[corner % 3 === 2 ? corner - 2 : corner + 1]!;
    sides.add(`${triangles[corner]} ${to}`);
  }
  for (const side of sides) if (!sides.has(side.split(' ').reverse().join(' '))) open += 1;
  return open;
}

describe('resizeMesh', () => {
  for (const factor of [1.1, 2.9, 3.99, 4, 5.3, 17]) {
    it(`makes a closed surface finer ${factor} times: the number, the same closed surface`, async () => {
      const wanted = Math.round(count(ball) * factor);
      const finer = await resizeMesh(ball, wanted);
      const rounds = 4 ** Math.floor(Math.log(factor) / Math.log(4) + 1e-9);
      expect(count(finer)).toBeGreaterThanOrEqual(wanted);
      // A side more or less is two triangles before the whole rounds.
      expect(count(finer)).toBeLessThanOrEqual(wanted + 2 * rounds);
      expect(openSides(finer)).toBe(0);
      const [area, volume] = areaAndVolume(finer);
      const [areaBefore, volumeBefore] = areaAndVolume(ball);
      expect(area).toBeCloseTo(areaBefore, 3);
      expect(volume).toBeCloseTo(volumeBefore, 3);
    });
  }

  it('makes it coarser with vertices of its own', async () => {
    const coarse = await resizeMesh(ball, 200);
    expect(count(coarse)).toBeGreaterThan(150);
    expect(count(coarse)).toBeLessThanOrEqual(200);
    const known = new Set<string>();
    for (let i = 0; i < ball.positions.length; i += 3) known.add(ball.positions.subarray(i, i + 3).join());
    for (let i = 0; i < coarse.positions.length; i += 3)
      expect(known).toContain(coarse.positions.subarray(i, i + 3).join());
    expect(openSides(coarse)).toBe(0);
  });
});
