import { describe, expect, it } from 'vitest';
import { cutMesh } from '../../src/geometry/plane-section.ts';
import { distance, length } from '../../src/geometry/vec3.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';

describe('cutMesh', () => {
  it('cuts a box into one closed square', () => {
    const lines = cutMesh(boxMesh([0, 0, 0], [2, 2, 2]), null, [1, 1, 0.5], [0, 0, 1]);
    expect(lines).toHaveLength(1);
    const line = lines[0]!;
    expect(line[0]).toEqual(line[line.length - 1]);
    let perimeter = 0;
    for (let i = 1; i < line.length; i += 1) perimeter += distance(line[i - 1]!, line[i]!);
    expect(perimeter).toBeCloseTo(8, 12);
    expect(line.every((p) => p[2] === 0.5)).toBe(true);
  });

  it('cuts a sphere along a circle, also through its vertices', () => {
    for (const h of [0, 0.7]) {
      const lines = cutMesh(sphereMesh(2, 4), null, [0, 0, h], [0, 0, 3]);
      expect(lines).toHaveLength(1);
      const r = Math.sqrt(4 - h * h);
      for (const p of lines[0]!) expect(Math.abs(Math.hypot(p[0], p[1]) - r)).toBeLessThan(0.02);
    }
  });

  it('gives an open line for a part of the mesh and nothing beside it', () => {
    const mesh = sphereMesh(2, 4);
    const cap: number[] = [];
    for (let t = 0; t < mesh.triangles.length / 3; t += 1) {
      if (mesh.positions[3 * mesh.triangles[3 * t]!]! > 0) cap.push(t);
    }
    const lines = cutMesh(mesh, Uint32Array.from(cap), [0, 0, 0.1], [0, 0, 1]);
    expect(lines).toHaveLength(1);
    expect(distance(lines[0]![0]!, lines[0]![lines[0]!.length - 1]!)).toBeGreaterThan(3);
    expect(lines[0]!.every((p) => Math.abs(length(p) - 2) < 0.02)).toBe(true);
    expect(cutMesh(mesh, null, [0, 0, 2.5], [0, 0, 1])).toEqual([]);
  });
});
