import { describe, expect, it } from 'vitest';
import { edgeTopology } from '../../src/geometry/adjacency.ts';
import { closeSeams } from '../../src/geometry/close-seams.ts';
import { weldIndexed } from '../../src/geometry/weld.ts';
import { seededRandom } from '../helpers/random.ts';

const REACH = 0.03;

/** A strip in the plane z = 0 from (x, 0) on, of squares of side 0.2 along y, each of two triangles facing up. */
function strip(x: number, squares: number, { z = 0, turned = false } = {}) {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let j = 0; j <= squares; j++) positions.push(x, 0.2 * j, z, x + 0.2, 0.2 * j, z);
  for (let j = 0; j < squares; j++) {
    const a = 2 * j;
    for (const [p, q, r] of [
      [a, a + 1, a + 3],
      [a, a + 3, a + 2],
    ] as const) {
      triangles.push(...(turned ? [p, r, q] : [p, q, r]));
    }
  }
  return { positions, triangles };
}

type Part = ReturnType<typeof strip>;

function together(...parts: Part[]) {
  const positions = parts.flatMap((part) => part.positions);
  let before = 0;
  const triangles = parts.flatMap((part) => {
    const moved = part.triangles.map((v) => v + before);
    before += part.positions.length / 3;
    return moved;
  });
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

function close(...parts: Part[]) {
  const mesh = together(...parts);
  const seams = closeSeams(mesh, edgeTopology(mesh).adjacency, REACH);
  const after = weldIndexed(seams.positions, mesh.triangles);
  const { openEdges, adjacency } = edgeTopology(after);
  const looseEdges = closeSeams(after, adjacency, REACH).crackEdges;
  return { seams, looseEdges, openEdges, vertices: after.positions.length / 3 };
}

describe('seams of a surface', () => {
  it('two strips 0.02 apart become one, the ends halfway', () => {
    const { seams, looseEdges, openEdges, vertices } = close(strip(0, 5), strip(0.22, 5));
    expect([seams.joinedPairs, looseEdges]).toEqual([5, 0]);
    expect(seams.farthestMove).toBeCloseTo(0.01, 6);
    expect([openEdges, vertices]).toEqual([14, 18]);
    const xs = new Set(Array.from(seams.positions).filter((_, i) => i % 3 === 0));
    expect([...xs].map((x) => Math.round(1000 * x)).sort((a, b) => a - b)).toEqual([0, 210, 420]);
  });

  it.each([
    ['farther apart than the reach', strip(0, 5), strip(0.235, 5)],
    ['one of them turned over', strip(0, 5), strip(0.22, 5, { turned: true })],
    ['one above the other', strip(0, 5), strip(0, 5, { z: 0.01 })],
  ])('nothing is changed: %s', (_, a, b) => {
    const mesh = together(a, b);
    const seams = closeSeams(mesh, edgeTopology(mesh).adjacency, REACH);
    expect(seams).toEqual({
      positions: mesh.positions,
      joinedPairs: 0,
      farthestMove: 0,
      crackEdges: 0,
    });
    expect(seams.positions).toBe(mesh.positions);
  });

  it('ends that do not face each other are loose, on both sides of the seam', () => {
    const shifted = strip(0.21, 5);
    for (let i = 1; i < shifted.positions.length; i += 3) shifted.positions[i]! += 0.1;
    expect(close(strip(0, 5), shifted)).toMatchObject({ seams: { joinedPairs: 0 }, looseEdges: 10 });
  });

  it('three pieces that meet in a point become one there', () => {
    const upper = strip(0.1, 5);
    for (let i = 1; i < upper.positions.length; i += 3) upper.positions[i]! += 1.01;
    // The side of the upper strip faces no edge of the lower ones end by end: its corners lie in the middle of theirs.
    expect(close(strip(0, 5), strip(0.21, 5), upper)).toMatchObject({
      seams: { joinedPairs: 5 },
      looseEdges: 3,
    });
    const corner = strip(0, 5);
    for (let i = 1; i < corner.positions.length; i += 3) corner.positions[i]! += 1.01;
    const beside = close(strip(0, 5), strip(0.21, 5), corner);
    expect(beside.seams.joinedPairs).toBe(6);
    // The point where all three meet is one.
    expect(beside.vertices).toBe(12 + 12 + 12 - 6 - 2);
  });

  it('whatever the order of triangles and pieces', () => {
    const random = seededRandom(7);
    const mesh = together(strip(0, 9), strip(0.205, 9), strip(0.4, 9));
    const cut = closeSeams(mesh, edgeTopology(mesh).adjacency, REACH);
    const order = Array.from({ length: mesh.triangles.length / 3 }, (_, t) => [random(), t] as const)
      .sort(([a], [b]) => a - b)
      .flatMap(([, t]) => [...mesh.triangles.subarray(3 * t, 3 * t + 3)]);
    const mixed = { positions: mesh.positions, triangles: Uint32Array.from(order) };
    expect(closeSeams(mixed, edgeTopology(mixed).adjacency, REACH)).toEqual(cut);
  });

  it('edges shorter than four reaches keep their ends apart by a quarter of their length at most', () => {
    const tiny = (x: number) => {
      const part = strip(x, 5);
      for (let i = 1; i < part.positions.length; i += 3) part.positions[i]! *= 0.2;
      return part;
    };
    expect(close(tiny(0), tiny(0.209)).seams.joinedPairs).toBe(5);
    expect(close(tiny(0), tiny(0.211)).seams.joinedPairs).toBe(0);
  });
});
