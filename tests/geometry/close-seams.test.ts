import { describe, expect, it } from 'vitest';
import { edgeTopology } from '../../src/geometry/adjacency.ts';
import { closeSeams } from '../../src/geometry/close-seams.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { add, addScaled, distance, dot, normalize, scale, sub, vertexAt } from '../../src/geometry/vec3.ts';
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

/** A strip 0.02 wide in all, of so many rows. */
function thread(rows: number): Part {
  const parts = Array.from({ length: rows }, (_, k) => {
    const part = strip(0, 8);
    for (let i = 0; i < part.positions.length; i += 3) {
      part.positions[i] = (0.02 * (k + part.positions[i]! / 0.2)) / rows;
    }
    return part;
  });
  const { positions, triangles } = together(...parts);
  const { positions: welded, triangles: corners } = weldIndexed(positions, triangles);
  return { positions: [...welded], triangles: [...corners] };
}

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
      isLoose: false,
    });
    expect(seams.positions).toBe(mesh.positions);
  });

  it.each([
    ['of one row of triangles', thread(1)],
    ['of two rows', thread(2)],
  ])('a thread of surface as thin as a slit stays: %s', (_, part) => {
    const mesh = together(part);
    const seams = closeSeams(mesh, edgeTopology(mesh).adjacency, REACH);
    expect(seams).toMatchObject({ joinedPairs: 0, crackEdges: 0, positions: mesh.positions });
  });

  it('sides that overlap a little are joined as well as those that gape', () => {
    expect(close(strip(0, 5), strip(0.185, 5))).toMatchObject({
      seams: { joinedPairs: 5 },
      openEdges: 14,
      vertices: 18,
    });
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

  it('as all pairs of edges say, for loose triangles that lie against each other', () => {
    const random = seededRandom(11);
    // Triangles of very different sizes in few places: many middles of one edge beside many others.
    const corners = Array.from({ length: 120 }, () => {
      const at = [random(), random(), 0.01 * random()];
      const size = 0.05 + 0.5 * random() ** 2;
      return Array.from({ length: 3 }, () => at.map((x, c) => x + (c < 2 ? size * (random() - 0.5) : 0)));
    }).flat(2);
    const triangles = Uint32Array.from({ length: corners.length / 3 }, (_, i) => i);
    const mesh = { positions: Float32Array.from(corners), triangles };
    const edges = Array.from(triangles, (a) => ({ a, b: a % 3 === 2 ? a - 2 : a + 1 }));
    const at = (v: number) => vertexAt(mesh.positions, v);
    const length = (e: (typeof edges)[number]) => distance(at(e.a), at(e.b));
    // The triangle of i ends before it is half as far again as j, square to i: surface, no crack.
    const between = (i: (typeof edges)[number], j: (typeof edges)[number]) => {
      const along = normalize(sub(at(i.b), at(i.a)));
      const square = (p: Vec3) => addScaled(p, along, -dot(p, along));
      const middle = (e: typeof i) => scale(add(at(e.a), at(e.b)), 0.5);
      const third = at(3 * Math.floor(i.a / 3) + (((i.a % 3) + 2) % 3));
      const out = square(sub(third, middle(i)));
      const across = square(sub(middle(j), middle(i)));
      return dot(out, across) > 0 && dot(out, out) <= 2.25 * dot(across, across);
    };
    const cracked = edges.filter((i) =>
      edges.some((j) => {
        if ([j.a, j.b].some((end) => end === i.a || end === i.b)) return false;
        const [along, other] = [sub(at(j.b), at(j.a)), sub(at(i.b), at(i.a))];
        if (dot(along, other) > -0.9 * length(i) * length(j)) return false;
        if (between(i, j) || between(j, i)) return false;
        const middle = scale(add(at(i.a), at(i.b)), 0.5);
        const share = dot(sub(middle, at(j.a)), along) / dot(along, along);
        const foot = add(at(j.a), scale(along, Math.max(0, Math.min(1, share))));
        return distance(foot, middle) <= Math.min(REACH, length(i) / 4);
      }),
    );
    const seams = closeSeams(mesh, edgeTopology(mesh).adjacency, REACH);
    expect(cracked.length).toBeGreaterThan(20);
    expect([seams.joinedPairs, seams.crackEdges]).toEqual([0, cracked.length]);
  });

  it.each([
    ['large triangles in a heap', 20_000, 10, 80],
    ['small triangles on one spot', 3_000, 0.05, 0.02],
    ['triangles of which few share a cell and each passes many', 12_000, 1.7, 3],
  ])('nothing is looked for in %s', (_, count, spreadMm, sizeMm) => {
    const random = seededRandom(5);
    const positions = Float32Array.from({ length: 9 * count }, () => 0);
    for (let f = 0; f < count; f++) {
      const place = [random(), random(), random()].map((x) => x * spreadMm);
      for (let k = 0; k < 9; k++) positions[9 * f + k] = place[k % 3]! + sizeMm * random();
    }
    const mesh = { positions, triangles: Uint32Array.from({ length: 3 * count }, (_unused, i) => i) };
    const seams = closeSeams(mesh, edgeTopology(mesh).adjacency, REACH);
    expect(seams).toMatchObject({ joinedPairs: 0, crackEdges: 0, isLoose: true });
  });
});
