import { describe, expect, it } from 'vitest';
import { StarOutline } from '../../src/geometry/star-outline.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { crownOutlines } from '../../src/teeth/crown-outlines.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';
import { seededRandom } from '../helpers/random.ts';

const FRAME: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

/** An ellipsoid of half-axes 4, 3 and 5 mm round (10, 2, 0), as a fine mesh of rings and sectors. */
function ellipsoid(): TriangleMesh {
  const rings = 40;
  const sectors = 240;
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let i = 0; i <= rings; i++) {
    for (let k = 0; k < sectors; k++) {
      const polar = (Math.PI * i) / rings;
      const around = (2 * Math.PI * k) / sectors;
      positions.push(
        10 + 4 * Math.sin(polar) * Math.cos(around),
        2 + 3 * Math.sin(polar) * Math.sin(around),
        5 * Math.cos(polar),
      );
      if (i === rings) continue;
      const [a, b] = [i * sectors + k, i * sectors + ((k + 1) % sectors)];
      triangles.push(a, b, a + sectors, b, b + sectors, a + sectors);
    }
  }
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

const mesh = ellipsoid();
const labels = new Uint8Array(mesh.triangles.length / 3).fill(26);

describe('crownOutlines', () => {
  it('finds the ellipse of an ellipsoid seen from above, from its middle and from beside it', () => {
    for (const centre of [
      [10, 2, 0],
      [11, 1.2, 2],
    ] as const satisfies readonly Vec3[]) {
      const outline = crownOutlines(mesh, labels, FRAME, new Map([[26, centre]])).get(26)!;
      expect(outline).toHaveLength(240);
      for (let k = 0; k < outline.length; k += 2) {
        const onEllipse = Math.hypot((outline[k]! - 10) / 4, (outline[k + 1]! - 2) / 3);
        // The mesh's corners lie on the ellipsoid, its edges up to 0.1 % inside.
        expect(onEllipse).toBeGreaterThan(0.998);
        expect(onEllipse).toBeLessThan(1.001);
      }
    }
  });

  it('writes it in the occlusal frame, also in the left-handed one of a lower jaw', () => {
    const tilted: OcclusalFrame = { origin: [1, 2, 3], x: [0, 1, 0], y: [1, 0, 0], z: [0, 0, 1] };
    const outline = crownOutlines(mesh, labels, tilted, new Map([[26, [10, 2, 0]]])).get(26)!;
    const xs = outline.filter((_, k) => k % 2 === 0);
    const ys = outline.filter((_, k) => k % 2 === 1);
    expect(Math.max(...xs)).toBeCloseTo(3, 2);
    expect(Math.min(...xs)).toBeCloseTo(-3, 2);
    expect(Math.max(...ys)).toBeCloseTo(13, 2);
    expect(Math.min(...ys)).toBeCloseTo(5, 2);
  });

  it('equals the outline of all edges of all triangles, on a lump with overhangs and turned-over triangles', () => {
    const random = seededRandom(4);
    const lump = {
      positions: mesh.positions.map((x) => x + 0.2 * random()),
      triangles: mesh.triangles.slice(),
    };
    for (let t = 0; t < lump.triangles.length; t += 30) {
      [lump.triangles[t], lump.triangles[t + 1]] = [lump.triangles[t + 1]!, lump.triangles[t]!];
    }
    const all = new StarOutline([10, 2]);
    const at = (v: number): [number, number] => [lump.positions[3 * v]!, lump.positions[3 * v + 1]!];
    for (let t = 0; t < lump.triangles.length; t += 3) {
      all.add(at(lump.triangles[t]!), at(lump.triangles[t + 1]!), at(lump.triangles[t + 2]!));
    }
    expect(crownOutlines(lump, labels, FRAME, new Map([[26, [10, 2, 0]]])).get(26)).toEqual(all.polygon());
  });

  it('leaves out other labels, and a crown that does not surround its centre', () => {
    const some = crownOutlines(
      mesh,
      labels,
      FRAME,
      new Map([
        [26, [20, 2, 0]],
        [25, [10, 2, 0]],
      ]),
    );
    expect([...some.keys()]).toEqual([]);
  });
});
