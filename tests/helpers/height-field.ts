import type { TriangleMesh } from '../../src/geometry/types.ts';

/**
 * A surface z(x, y) on a square grid, two triangles per square, facing up; squares for which `keep` is false are left
 * out. Labels by the middle of each triangle.
 */
export function heightField(
  halfX: number,
  halfY: number,
  step: number,
  height: (x: number, y: number) => number,
  label: (x: number, y: number) => number,
  keep: (x: number, y: number) => boolean = () => true,
): { mesh: TriangleMesh; labels: Uint8Array } {
  const nx = Math.round((2 * halfX) / step);
  const ny = Math.round((2 * halfY) / step);
  const positions: number[] = [];
  const triangles: number[] = [];
  const labels: number[] = [];
  const at = (i: number, j: number) => j * (nx + 1) + i;
  for (let j = 0; j <= ny; j += 1) {
    for (let i = 0; i <= nx; i += 1) {
      const x = -halfX + i * step;
      const y = -halfY + j * step;
      positions.push(x, y, height(x, y));
    }
  }
  for (let j = 0; j < ny; j += 1) {
    for (let i = 0; i < nx; i += 1) {
      const x = -halfX + (i + 0.5) * step;
      const y = -halfY + (j + 0.5) * step;
      if (!keep(x, y)) continue;
      triangles.push(at(i, j), at(i + 1, j), at(i, j + 1), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
      labels.push(label(x, y), label(x, y));
    }
  }
  return {
    mesh: { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) },
    labels: Uint8Array.from(labels),
  };
}
