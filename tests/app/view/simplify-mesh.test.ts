// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { coarseLabels } from '../../../src/app/view/coarse-labels.ts';
import { simplifyMesh } from '../../../src/app/view/simplify-mesh.ts';
import { sphere } from './sphere.ts';

/** Edges of one triangle alone, as pairs of vertices in order. */
function openEdges(triangles: Uint32Array): string[] {
  const seen = new Map<string, number>();
  for (let t = 0; t < triangles.length; t += 3) {
    for (let k = 0; k < 3; k++) {
      const ends = [triangles[t + k]!, triangles[t + ((k + 1) % 3)]!].sort((a, b) => a - b).join();
      seen.set(ends, (seen.get(ends) ?? 0) + 1);
    }
  }
  return [...seen.keys()].filter((ends) => seen.get(ends) === 1).sort();
}

describe('simplifyMesh', () => {
  const ball = sphere(100, 5);

  it('keeps the shape of a sphere with a tenth of its triangles, by vertices of the scan alone', async () => {
    const count = ball.triangles.length / 3;
    const { triangles, source } = await simplifyMesh(ball, count / 10);
    expect(triangles.length / 3).toBeLessThanOrEqual(count / 10);
    expect(triangles.length / 3).toBeGreaterThan(count / 12);
    expect(new Set(source).size).toBe(source.length);
    expect(Math.max(...triangles)).toBe(source.length - 1);
    // Every triangle stays near the sphere: the middle of one dips in by its sagitta alone.
    for (let t = 0; t < triangles.length; t += 3) {
      const middle = [0, 1, 2].map(
        (k) => [0, 1, 2].reduce((sum, c) => sum + ball.positions[3 * source[triangles[t + c]!]! + k]!, 0) / 3,
      );
      expect(Math.hypot(...middle)).toBeGreaterThan(4.9);
      expect(Math.hypot(...middle)).toBeLessThan(5.0001);
    }
  });

  it('slab by slab: as few triangles, as true to the shape, and not torn where two slabs meet', async () => {
    const count = ball.triangles.length / 3;
    const { triangles, source } = await simplifyMesh(ball, count / 4, count / 2.5);
    expect(triangles.length / 3).toBeLessThanOrEqual(count / 4);
    expect(triangles.length / 3).toBeGreaterThan(count / 5);
    expect(new Set(source).size).toBe(source.length);
    expect(openEdges(Uint32Array.from(triangles, (v) => source[v]!))).toEqual(openEdges(ball.triangles));
    for (let t = 0; t < triangles.length; t += 3) {
      const middle = [0, 1, 2].map(
        (k) => [0, 1, 2].reduce((sum, c) => sum + ball.positions[3 * source[triangles[t + c]!]! + k]!, 0) / 3,
      );
      expect(Math.hypot(...middle)).toBeGreaterThan(4.85);
    }
  });

  it('leaves the arrays of the scan alone', async () => {
    const before = { positions: ball.positions.slice(), triangles: ball.triangles.slice() };
    await simplifyMesh(ball, 500);
    expect(ball.positions).toEqual(before.positions);
    expect(ball.triangles).toEqual(before.triangles);
  });

  it('with coarseLabels: what lies clearly on one side of a border bears its label', async () => {
    const labels = new Uint8Array(ball.triangles.length / 3);
    for (let t = 0; t < labels.length; t++) {
      const x = [0, 1, 2].reduce((sum, c) => sum + ball.positions[3 * ball.triangles[3 * t + c]!]!, 0) / 3;
      labels[t] = x > 0 ? 11 : 21;
    }
    const simplified = await simplifyMesh(ball, labels.length / 8);
    const coarse = coarseLabels(simplified, ball.triangles, ball.positions.length / 3, labels);
    expect(new Set(coarse)).toEqual(new Set([11, 21]));
    coarse.forEach((label, t) => {
      const xs = [0, 1, 2].map(
        (c) => ball.positions[3 * simplified.source[simplified.triangles[3 * t + c]!]!]!,
      );
      if (Math.min(...xs) > 0.2) expect(label).toBe(11);
      if (Math.max(...xs) < -0.2) expect(label).toBe(21);
    });
  });
});
