import { describe, expect, it } from 'vitest';
import { cleanLabels } from '../../src/contacts/clean-labels.ts';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { triangleAreas } from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';

/** A flat strip of squares, two triangles each, 1 mm wide: label per square. */
function strip(labels: readonly number[]): { mesh: TriangleMesh; perTriangle: Uint8Array } {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let i = 0; i <= labels.length; i += 1) positions.push(i, 0, 0, i, 1, 0);
  for (let i = 0; i < labels.length; i += 1) {
    triangles.push(2 * i, 2 * i + 2, 2 * i + 1, 2 * i + 1, 2 * i + 2, 2 * i + 3);
  }
  return {
    mesh: { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) },
    perTriangle: Uint8Array.from(labels.flatMap((l) => [l, l])),
  };
}

function clean(labels: readonly number[]): number[] {
  const { mesh, perTriangle } = strip(labels);
  const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
  const out = cleanLabels(perTriangle, adjacency, triangleAreas(mesh));
  return labels.map((_, i) => out[2 * i]!);
}

describe('cleanLabels', () => {
  it('gives islands of a tooth to the neighbour they lie in', () => {
    expect(clean([21, 11, 11, 11, 21, 21, 21, 11])).toEqual([11, 11, 11, 11, 21, 21, 21, 21]);
  });

  it('keeps gum pieces, reaches islands behind islands', () => {
    expect(clean([0, 11, 11, 11, 0, 0, 21, 21, 0])).toEqual([0, 11, 11, 11, 0, 0, 21, 21, 0]);
    // 12 and 13 lie inside 11's part; their own largest pieces are at the right end
    expect(clean([11, 11, 13, 12, 11, 11, 11, 12, 12, 13, 13])).toEqual([
      11, 11, 11, 11, 11, 11, 11, 12, 12, 13, 13,
    ]);
  });

  it('removes specks of gum under 1 mm2 and leaves its input alone', () => {
    const { mesh, perTriangle } = strip([0, 11, 11, 11, 0, 0]);
    const small = { positions: mesh.positions.map((x) => x * 0.9), triangles: mesh.triangles };
    const adjacency = faceAdjacency(small.triangles, small.positions.length / 3);
    const before = Uint8Array.from(perTriangle);
    const out = cleanLabels(perTriangle, adjacency, triangleAreas(small));
    expect([...out]).toEqual([11, 11, 11, 11, 11, 11, 11, 11, 0, 0, 0, 0]);
    expect(perTriangle).toEqual(before);
  });

  it('a loose crumb of another tooth belongs to nothing', () => {
    const a = strip([11, 11]);
    const b = strip([11]);
    const mesh = {
      positions: Float32Array.from([...a.mesh.positions, ...b.mesh.positions.map((x) => x + 50)]),
      triangles: Uint32Array.from([...a.mesh.triangles, ...b.mesh.triangles.map((v) => v + 6)]),
    };
    const labels = Uint8Array.from([...a.perTriangle, ...b.perTriangle]);
    const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
    expect([...cleanLabels(labels, adjacency, triangleAreas(mesh))]).toEqual([11, 11, 11, 11, 0, 0]);
  });
});
