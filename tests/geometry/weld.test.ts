import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { weldIndexed, weldSoup } from '../../src/geometry/weld.ts';

const soupOf = (positions: ArrayLike<number>, triangles: ArrayLike<number>): Float32Array =>
  Float32Array.from(Array.from(triangles).flatMap((v) => [0, 1, 2].map((k) => positions[3 * v + k]!)));

/** A sheet of n x n squares, two triangles each. */
function sheet(n: number): { positions: Float32Array; triangles: Uint32Array } {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let j = 0; j <= n; j++) for (let i = 0; i <= n; i++) positions.push(i * 0.25, j * 0.25, (i * j) % 7);
  for (let j = 0; j < n; j++) {
    for (let i = 0; i < n; i++) {
      const a = j * (n + 1) + i;
      triangles.push(a, a + 1, a + n + 2, a, a + n + 2, a + n + 1);
    }
  }
  return { positions: new Float32Array(positions), triangles: new Uint32Array(triangles) };
}

/** Triangles as sets of corner coordinates, in canonical order: the same for equal surfaces. */
function canonical(mesh: { positions: Float32Array; triangles: Uint32Array }): string[] {
  const corner = (v: number) => [...mesh.positions.subarray(3 * v, 3 * v + 3)].join(' ');
  const names: string[] = [];
  for (let t = 0; t < mesh.triangles.length; t += 3) {
    names.push(
      [0, 1, 2]
        .map((k) => corner(mesh.triangles[t + k]!))
        .sort()
        .join(' | '),
    );
  }
  return names.sort();
}

describe('welding loose triangles', () => {
  test('a square of two triangles: six corners become four vertices in order of first use', () => {
    const welded = weldSoup(new Float32Array([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0, 0, 1, 1, 0, 0, 1, 0]));
    expect([...welded.positions]).toEqual([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0]);
    expect([...welded.triangles]).toEqual([0, 1, 2, 0, 2, 3]);
    expect(welded).toMatchObject({
      mergedVertices: 2,
      degenerateRemoved: 0,
      duplicatesRemoved: 0,
      unusedVertices: 0,
    });
    expect([...welded.vertexSource]).toEqual([0, 1, 2, 5]);
    expect([...welded.triangleSource]).toEqual([0, 1]);
  });

  test('0 and -0 are the same place, and no -0 is left', () => {
    const welded = weldSoup(new Float32Array([0, -0, 0, 1, 0, 0, 0, 1, -0, -0, 0, -0, 0, 1, 0, -1, 0, 0]));
    expect(welded.positions.length / 3).toBe(4);
    expect([...welded.positions].some((x) => Object.is(x, -0))).toBe(false);
  });

  test('coordinates one unit in the last place apart stay apart', () => {
    const nearly = 1 + 2 ** -23;
    const welded = weldSoup(new Float32Array([1, 0, 0, 2, 0, 0, 1, 1, 0, nearly, 0, 0, 2, 0, 0, 1, 1, 0]));
    expect(welded.positions.length / 3).toBe(4);
    expect(welded.triangles.length / 3).toBe(2);
  });

  test('triangles with two equal corners or with all three on a line go and are counted', () => {
    const line = [0, 0, 0, 1, 1, 1, 2, 2, 2];
    const point = [5, 0, 0, 5, 0, 0, 6, 0, 0];
    const good = [0, 0, 0, 1, 0, 0, 0, 1, 0];
    const welded = weldSoup(new Float32Array([...line, ...point, ...good]));
    expect(welded.degenerateRemoved).toBe(2);
    expect([...welded.triangleSource]).toEqual([2]);
    expect(welded.positions.length / 3).toBe(3);
    // (1,1,1), (2,2,2), (5,0,0), (6,0,0) lost their only triangle.
    expect(welded.unusedVertices).toBe(4);
  });

  test('a thin but real triangle stays', () => {
    expect(weldSoup(new Float32Array([0, 0, 0, 1, 0, 0, 0.5, 1e-6, 0])).degenerateRemoved).toBe(0);
  });

  test('a triangle with the same three corners as an earlier one goes, whichever way round', () => {
    const a = [0, 0, 0];
    const b = [1, 0, 0];
    const c = [0, 1, 0];
    const d = [0, 0, 1];
    const soup = [a, b, c, b, c, a, c, b, a, a, b, d].flat();
    const welded = weldSoup(new Float32Array(soup));
    expect(welded.duplicatesRemoved).toBe(2);
    expect([...welded.triangleSource]).toEqual([0, 3]);
  });

  test('nothing gives nothing', () => {
    const welded = weldSoup(new Float32Array(0));
    expect(welded.positions.length).toBe(0);
    expect(welded.triangles.length).toBe(0);
  });

  test('the tables grow: a soup of triangles that share nothing keeps all its corners', () => {
    const count = 3000;
    const soup = Float32Array.from({ length: 9 * count }, (_, i) =>
      Math.fround(Math.sin(i * 12.9898) * 43758.5453),
    );
    const welded = weldSoup(soup);
    expect(welded.positions.length / 3).toBe(3 * count);
    expect([...welded.positions]).toEqual([...soup]);
  });

  test('triangles whose corner numbers all add up to the same are told apart, without time running away', () => {
    // 3 corner numbers of sum 3 n: about n^2 / 8 triangles, each of them twice.
    const n = 300;
    const positions = Float32Array.from({ length: 3 * (2 * n + 1) }, (_, i) => ((i * i) % 1009) + i / 7);
    const triangles: number[] = [];
    for (let a = 0; a < n; a++)
      for (let b = a + 1; b < (3 * n - a) / 2; b++) {
        const c = 3 * n - a - b;
        if (c > b && c <= 2 * n) triangles.push(a, b, c);
      }
    const twice = Uint32Array.from([...triangles, ...triangles]);
    const welded = weldIndexed(positions, twice);
    expect(welded.degenerateRemoved).toBe(0);
    expect(welded.duplicatesRemoved).toBe(triangles.length / 3);
    expect([...welded.triangleSource]).toEqual(Array.from({ length: triangles.length / 3 }, (_, t) => t));
  });

  test('colours: the first of the merged corners gives its colour', () => {
    const corners = new Float32Array([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0, 0, 1, 1, 0, 0, 1, 0]);
    const colors = Uint8Array.from({ length: 18 }, (_, i) => 10 * Math.floor(i / 3));
    expect([...weldSoup(corners, colors).colors!]).toEqual([0, 0, 0, 10, 10, 10, 20, 20, 20, 50, 50, 50]);
  });
});

describe('welding an indexed mesh', () => {
  test('repeated vertices are joined, unused ones dropped, the rest keep their order and colour', () => {
    const positions = new Float32Array([9, 9, 9, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 1]);
    const triangles = new Uint32Array([1, 2, 3, 4, 3, 5]);
    const colors = new Uint8Array([0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 5, 5, 5]);
    const welded = weldIndexed(positions, triangles, colors);
    expect([...welded.positions]).toEqual([0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1]);
    expect([...welded.triangles]).toEqual([0, 1, 2, 0, 2, 3]);
    expect([...welded.vertexSource]).toEqual([1, 2, 3, 5]);
    expect([...welded.colors!]).toEqual([1, 1, 1, 2, 2, 2, 3, 3, 3, 5, 5, 5]);
    expect(welded).toMatchObject({ mergedVertices: 1, unusedVertices: 1 });
    expect([...triangles]).toEqual([1, 2, 3, 4, 3, 5]);
  });

  test('an index beyond the vertices is an internal fault with a name', () => {
    expect(() => weldIndexed(new Float32Array(9), new Uint32Array([0, 1, 3]))).toThrow(
      expect.objectContaining({ kind: 'internal', code: 'INDEX_OUT_OF_RANGE' }),
    );
  });
});

describe('welding, as properties', () => {
  const { positions, triangles } = sheet(6);
  const order = fc.shuffledSubarray(
    Array.from({ length: triangles.length / 3 }, (_, t) => t),
    {
      minLength: triangles.length / 3,
    },
  );

  test('soup and indexed mesh weld to the same surface, in any order of triangles and corners', () => {
    const expected = canonical({ positions, triangles });
    fc.assert(
      fc.property(order, fc.integer({ min: 0, max: 2 }), (shuffled, turn) => {
        const reordered = shuffled.flatMap((t) => [0, 1, 2].map((k) => triangles[3 * t + ((k + turn) % 3)]!));
        const welded = weldSoup(soupOf(positions, reordered));
        expect(welded.positions.length).toBe(positions.length);
        expect(canonical(welded)).toEqual(expected);
      }),
      { seed: 15, numRuns: 40 },
    );
  });

  test('welding a welded mesh changes nothing', () => {
    const once = weldSoup(soupOf(positions, triangles));
    const twice = weldIndexed(once.positions, once.triangles);
    expect([...twice.positions]).toEqual([...once.positions]);
    expect([...twice.triangles]).toEqual([...once.triangles]);
    expect(twice).toMatchObject({ mergedVertices: 0, degenerateRemoved: 0, duplicatesRemoved: 0 });
  });

  test('agrees with a table of printed coordinates on soups full of coincidences', () => {
    const grid = fc.integer({ min: -1, max: 1 });
    fc.assert(
      fc.property(fc.array(fc.tuple(grid, grid, grid), { minLength: 3, maxLength: 60 }), (points) => {
        const whole = points.slice(0, points.length - (points.length % 3));
        const welded = weldSoup(new Float32Array(whole.flat()));
        const names = new Map<string, number>();
        const seen = new Set<string>();
        let kept = 0;
        for (let t = 0; t < whole.length; t += 3) {
          const corner = whole.slice(t, t + 3);
          for (const p of corner) names.set(p.join(), names.size);
          const [a, b, c] = [corner[0]!, corner[1]!, corner[2]!];
          const u = b.map((x, k) => x - a[k]!);
          const v = c.map((x, k) => x - a[k]!);
          const area = [0, 1, 2].some(
            (k) => u[(k + 1) % 3]! * v[(k + 2) % 3]! !== u[(k + 2) % 3]! * v[(k + 1) % 3]!,
          );
          const name = corner.map(String).sort().join('|');
          if (area && !seen.has(name)) kept++;
          if (area) seen.add(name);
        }
        expect(welded.triangles.length / 3).toBe(kept);
        expect(welded.mergedVertices).toBe(whole.length - names.size);
        expect(welded.degenerateRemoved + welded.duplicatesRemoved).toBe(whole.length / 3 - kept);
      }),
      { seed: 16, numRuns: 300 },
    );
  });
});
