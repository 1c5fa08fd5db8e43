import { describe, expect, it } from 'vitest';
import { letGoSurface, medianEdgeOf, prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import { vertexNormals } from '../../src/geometry/triangle-geometry.ts';
import { heightField } from '../helpers/height-field.ts';

describe('prepareArchSurface', () => {
  const { mesh, labels } = heightField(
    2,
    2,
    0.5,
    () => 0,
    (x, y) => (y < -1 ? 0 : x < 0 ? 11 : 21),
  );
  const arch = prepareArchSurface(mesh, labels);

  it('gives each tooth its triangles, and only vertices that are wholly its own', () => {
    expect([...arch.teeth.keys()].sort()).toEqual([11, 21]);
    const left = arch.teeth.get(11)!;
    expect(left.triangles).toHaveLength(2 * 4 * 6);
    for (const v of left.vertices) {
      expect(mesh.positions[3 * v]!).toBeLessThan(0);
      expect(mesh.positions[3 * v + 1]!).toBeGreaterThan(-1);
    }
    expect(left.vertices).toHaveLength(4 * 6);
  });

  it('knows where a tooth meets gum and where the scan ends', () => {
    const left = arch.teeth.get(11)!;
    for (let i = 1; i < left.gumLine.length; i += 3) expect(left.gumLine[i]).toBe(-1);
    expect(left.gumLine.length / 3).toBe(2 * 4);
    for (let i = 0; i < left.cutLine.length; i += 3) {
      expect(left.cutLine[i] === -2 || left.cutLine[i + 1] === 2).toBe(true);
    }
    expect(left.cutLine.length / 3).toBe(2 * (4 + 6));
  });

  it('median edge of the grid is its step', () => {
    expect(medianEdgeOf(mesh, arch.teeth.get(11)!.triangles)).toBeCloseTo(0.5, 12);
    expect(medianEdgeOf(mesh, [])).toBe(0);
  });

  it('takes normals that are at hand, and leaves them where they are when it goes', () => {
    const normals = vertexNormals(mesh);
    const given = prepareArchSurface(mesh, labels, normals);
    expect(given.normals).toBe(normals);
    letGoSurface(given, normals);
    expect(normals).toEqual(vertexNormals(mesh));
    expect(given.labels).toHaveLength(0);
    const own = prepareArchSurface(mesh, labels);
    expect(own.normals).toEqual(normals);
    letGoSurface(own);
    expect(own.normals).toHaveLength(0);
  });
});
