// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { creviceShade } from '../../../src/app/view/crevice-shade.ts';

/** A sheet of n x n squares of 0.25 mm; `place` bends it. */
function sheet(n: number, place: (x: number, y: number) => [number, number, number]) {
  const positions = new Float32Array(3 * (n + 1) * (n + 1));
  for (let r = 0; r <= n; r++) {
    for (let c = 0; c <= n; c++) positions.set(place(c * 0.25, r * 0.25), 3 * (r * (n + 1) + c));
  }
  const triangles: number[] = [];
  for (let r = 0; r < n; r++) {
    for (let c = 0; c < n; c++) {
      const v = r * (n + 1) + c;
      triangles.push(v, v + 1, v + n + 2, v, v + n + 2, v + n + 1);
    }
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}
const upwards = (count: number): Float32Array =>
  Float32Array.from({ length: count }, (_, i) => (i % 3 === 2 ? 1 : 0));

describe('creviceShade', () => {
  const n = 64;
  const middle = (n / 2) * (n + 1) + n / 2;

  it('leaves a flat place bright: a plane holds just the density it is compared with', () => {
    const mesh = sheet(n, (x, y) => [x, y, 0]);
    expect(creviceShade(mesh, upwards(mesh.positions.length))[middle]).toBeLessThan(0.08);
  });

  it('leaves a ridge bright and darkens a valley of the same slope', () => {
    const valley = sheet(n, (x, y) => [x, y, 1.5 * Math.abs(x - 8)]);
    const ridge = sheet(n, (x, y) => [x, y, -1.5 * Math.abs(x - 8)]);
    const normals = upwards(valley.positions.length);
    expect(creviceShade(valley, normals)[middle]).toBeGreaterThan(0.35);
    expect(creviceShade(ridge, normals)[middle]).toBe(0);
  });

  it('darkens a narrower cleft more', () => {
    const cleft = (slope: number) => {
      const mesh = sheet(n, (x, y) => [x, y, slope * Math.abs(x - 8)]);
      return creviceShade(mesh, upwards(mesh.positions.length))[middle]!;
    };
    expect(cleft(3)).toBeGreaterThan(cleft(1.5));
    expect(cleft(1.5)).toBeGreaterThan(cleft(0.7));
  });

  it('does not exhaust memory on a file in the wrong unit', () => {
    const mesh = sheet(16, (x, y) => [x * 1e5, y * 1e5, x * y * 1e3]);
    const shade = creviceShade(mesh, upwards(mesh.positions.length));
    expect(shade.length).toBe(17 * 17);
    expect(shade.every(Number.isFinite)).toBe(true);
  });
});
