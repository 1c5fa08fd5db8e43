import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  signedVolume,
  triangleAreas,
  triangleCentroids,
  triangleNormals,
  vertexNormals,
  writeCentroid,
} from '../../src/geometry/triangle-geometry.ts';

/** Unit cube, two triangles a face, counter-clockwise seen from outside. */
const CUBE = {
  positions: new Float32Array([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0, 0, 1, 1, 0, 1, 1, 1, 1, 0, 1, 1]),
  triangles: new Uint32Array([
    0, 2, 1, 0, 3, 2, 4, 5, 6, 4, 6, 7, 0, 1, 5, 0, 5, 4, 1, 2, 6, 1, 6, 5, 2, 3, 7, 2, 7, 6, 3, 0, 4, 3, 4,
    7,
  ]),
};
const sum = (values: Float32Array) => values.reduce((a, b) => a + b, 0);

describe('triangle geometry in closed form', () => {
  test('a 3-4-5 triangle has area 6, its centroid in the mean of the corners, its normal by the right hand', () => {
    const mesh = {
      positions: new Float32Array([0, 0, 0, 3, 0, 0, 0, 4, 0]),
      triangles: new Uint32Array([0, 1, 2]),
    };
    expect([...triangleAreas(mesh)]).toEqual([6]);
    expect([...triangleCentroids(mesh)]).toEqual([1, Math.fround(4 / 3), 0]);
    expect([...triangleNormals(mesh)]).toEqual([0, 0, 1]);
  });

  test('the unit cube has area 6, volume 1, outward face normals and corner normals along its diagonals', () => {
    expect(sum(triangleAreas(CUBE))).toBeCloseTo(6, 6);
    expect(signedVolume(CUBE)).toBeCloseTo(1, 12);
    const normals = triangleNormals(CUBE);
    const centroids = triangleCentroids(CUBE);
    for (let i = 0; i < normals.length; i += 3) {
      const outward = [0, 1, 2].reduce((dot, k) => dot + normals[i + k]! * (centroids[i + k]! - 0.5), 0);
      expect(outward).toBeCloseTo(0.5, 6);
    }
    const atCorners = vertexNormals(CUBE);
    for (let v = 0; v < 24; v++) expect(Math.sign(atCorners[v]!)).toBe(CUBE.positions[v]! > 0.5 ? 1 : -1);
  });

  test('the centroid of one triangle is, to the bit, that of all of them', () => {
    const tilted = { ...CUBE, positions: CUBE.positions.map((x, i) => x / 3 + 0.1 * i) };
    const all = triangleCentroids(tilted);
    const one = new Float32Array(3);
    for (let t = 0; t < all.length / 3; t++) {
      writeCentroid(tilted, t, one);
      expect(one).toEqual(all.slice(3 * t, 3 * t + 3));
    }
  });

  test('turning a closed mesh inside out turns the sign of its volume, moving it far away does not change it', () => {
    const turned = { ...CUBE, triangles: Uint32Array.from(CUBE.triangles).reverse() };
    expect(signedVolume(turned)).toBeCloseTo(-1, 12);
    const away = { ...CUBE, positions: CUBE.positions.map((x) => x + 65536) };
    expect(signedVolume(away)).toBeCloseTo(1, 12);
  });

  test('a triangle without area has the normal zero, not NaN', () => {
    const mesh = {
      positions: new Float32Array([0, 0, 0, 1, 1, 1, 2, 2, 2]),
      triangles: new Uint32Array([0, 1, 2]),
    };
    expect([...triangleNormals(mesh)]).toEqual([0, 0, 0]);
    expect([...vertexNormals(mesh)]).toEqual(new Array(9).fill(0));
    expect(triangleAreas(mesh)[0]).toBe(0);
  });
});

describe('triangle geometry against an independent formula', () => {
  const coordinate = fc.double({ min: -50, max: 50, noNaN: true }).map(Math.fround);
  test("areas agree with Heron's formula and normals stand on the edges", () => {
    fc.assert(
      fc.property(fc.array(coordinate, { minLength: 9, maxLength: 9 }), (p) => {
        const mesh = { positions: new Float32Array(p), triangles: new Uint32Array([0, 1, 2]) };
        const side = (i: number, j: number) =>
          Math.hypot(p[3 * i]! - p[3 * j]!, p[3 * i + 1]! - p[3 * j + 1]!, p[3 * i + 2]! - p[3 * j + 2]!);
        const [a, b, c] = [side(0, 1), side(1, 2), side(2, 0)];
        const s = (a + b + c) / 2;
        const heron = Math.sqrt(Math.max(0, s * (s - a) * (s - b) * (s - c)));
        // Heron's formula itself loses half its digits on needles, hence the coarse tolerance.
        expect(Math.abs(triangleAreas(mesh)[0]! - heron)).toBeLessThan(1e-3 + 1e-5 * heron);
        const n = triangleNormals(mesh);
        for (const [i, j] of [
          [0, 1],
          [1, 2],
        ] as const) {
          const dot = [0, 1, 2].reduce((d, k) => d + n[k]! * (p[3 * j + k]! - p[3 * i + k]!), 0);
          expect(Math.abs(dot)).toBeLessThan(1e-4);
        }
      }),
      { seed: 11, numRuns: 200 },
    );
  });
});
