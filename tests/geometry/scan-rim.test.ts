import { describe, expect, it } from 'vitest';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { isRim, scanRim } from '../../src/geometry/scan-rim.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';

/** A square sheet of n x n cells of 1 mm, each two triangles, without the cells named. */
function sheet(n: number, without: readonly (readonly [number, number])[]): TriangleMesh {
  const positions: number[] = [];
  for (let y = 0; y <= n; y++) for (let x = 0; x <= n; x++) positions.push(x, y, 0);
  const triangles: number[] = [];
  for (let y = 0; y < n; y++) {
    for (let x = 0; x < n; x++) {
      if (without.some(([u, v]) => u === x && v === y)) continue;
      const a = y * (n + 1) + x;
      triangles.push(a, a + 1, a + n + 2, a, a + n + 2, a + n + 1);
    }
  }
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

function rimSides(mesh: TriangleMesh, leastMm: number): number {
  const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
  const rim = scanRim(mesh, adjacency, leastMm);
  const said = [...adjacency.keys()].filter((side) => isRim(rim, side));
  expect(said).toEqual([...rim]);
  return rim.length;
}

describe('scanRim', () => {
  it('is the outer line, 4 n edges of a square, and not the line round a hole', () => {
    expect(rimSides(sheet(8, []), 20)).toBe(32);
    expect(rimSides(sheet(8, [[3, 3]]), 20)).toBe(32);
  });

  it('counts a hole that is long enough', () => {
    expect(rimSides(sheet(8, [[3, 3]]), 4)).toBe(36);
  });

  it('takes a notch in the outer line for rim, and touching lines for one', () => {
    expect(rimSides(sheet(8, [[0, 3]]), 20)).toBe(34);
    // Two holes with a common corner: eight edges in one line.
    const holes = sheet(8, [
      [2, 2],
      [3, 3],
    ]);
    expect(rimSides(holes, 8)).toBe(40);
    expect(rimSides(holes, 8.5)).toBe(32);
  });

  it('has none on a closed surface', () => {
    const tetrahedron: TriangleMesh = {
      positions: Float32Array.of(0, 0, 0, 9, 0, 0, 0, 9, 0, 0, 0, 9),
      triangles: Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3),
    };
    expect(rimSides(tetrahedron, 0)).toBe(0);
  });
});
