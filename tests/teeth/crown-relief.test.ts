import { describe, expect, it } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { crownRelief, heightAt, prominenceAt } from '../../src/teeth/crown-relief.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';

const FRAME: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

/** A height field over 40 x 40 mm, as triangles of 0.5 mm. */
function field(z: (x: number, y: number) => number): TriangleMesh {
  const n = 81;
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let r = 0; r < n; r++) {
    for (let c = 0; c < n; c++) {
      const [x, y] = [c / 2 - 20, r / 2 - 20];
      positions.push(x, y, z(x, y));
      if (r === 0 || c === 0) continue;
      const i = r * n + c;
      triangles.push(i - n - 1, i - n, i, i - n - 1, i, i - 1);
    }
  }
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}
/** A dome 10 mm wide and 6 mm high. */
const dome = (x: number, y: number): number => 6 * Math.max(0, 1 - (x * x + y * y) / 25);

describe('crownRelief', () => {
  it('lets a crown stand out of flat ground by its height', () => {
    const relief = crownRelief(field(dome), FRAME);
    expect(prominenceAt(relief, 0, 0)).toBeCloseTo(6, 1);
    expect(prominenceAt(relief, 12, 12)).toBeCloseTo(0, 6);
    expect(heightAt(relief, 0, 0)).toBeCloseTo(6, 1);
  });

  it('lets a slope and a wide plateau not stand out', () => {
    const slope = crownRelief(
      field((x) => 0.5 * x),
      FRAME,
    );
    expect(prominenceAt(slope, 0, 0)).toBeLessThan(0.8);
    const plateau = crownRelief(
      field((x, y) => (Math.hypot(x, y) < 10 ? 6 : 0)),
      FRAME,
    );
    expect(prominenceAt(plateau, 0, 0)).toBeCloseTo(0, 6);
  });

  it('counts nothing below the floor', () => {
    const relief = crownRelief(field(dome), FRAME, 4);
    expect(prominenceAt(relief, 0, 0)).toBeCloseTo(2, 1);
    expect(prominenceAt(relief, 4, 0)).toBe(0);
  });

  it('says that there is nothing beside the scan', () => {
    const relief = crownRelief(field(dome), FRAME);
    expect(heightAt(relief, 100, 0)).toBeNull();
    expect(prominenceAt(relief, 100, 0)).toBe(0);
  });
});
