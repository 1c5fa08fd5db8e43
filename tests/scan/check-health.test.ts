import { describe, expect, test } from 'vitest';
import { makeScanFromArrays } from '../helpers/make-scan.ts';
import { TETRAHEDRON } from '../helpers/scan-files.ts';

const TRIANGLES = TETRAHEDRON.faces.flat();
const scanOf = (positions: readonly number[], triangles: readonly number[]) =>
  makeScanFromArrays(new Float32Array(positions), new Uint32Array(triangles));
const codes = (positions: readonly number[], triangles: readonly number[]) =>
  scanOf(positions, triangles).health.findings.map(({ code }) => code);

/** The corner of a 10 mm cube cut off: three right triangles of area 50 and one equilateral with side 10 sqrt 2. */
const TETRAHEDRON_AREA = 3 * 50 + (Math.sqrt(3) / 4) * 200;

describe('health of a scan, in closed form', () => {
  test('a closed tetrahedron', () => {
    const { health } = scanOf(TETRAHEDRON.positions, TRIANGLES);
    expect(health).toMatchObject({
      vertices: 4,
      triangles: 4,
      weldedVertices: 0,
      degenerateRemoved: 0,
      duplicatesRemoved: 0,
      components: 1,
      largestComponentTriangles: 4,
      openEdges: 0,
      nonManifoldEdges: 0,
      flippedEdges: 0,
      sizeMm: [10, 10, 10],
    });
    expect(health.areaMm2).toBeCloseTo(TETRAHEDRON_AREA, 6);
    // Three edges of 10 and three of 10 sqrt 2.
    expect(health.medianEdgeMm).toBeCloseTo((10 + 10 * Math.SQRT2) / 2, 5);
    expect(health.findings.map(({ code }) => code)).toEqual(['SURFACE_CLOSED', 'COARSE_SCAN']);
  });

  test('without its last face it is open along three edges', () => {
    const { health } = scanOf(TETRAHEDRON.positions, TRIANGLES.slice(0, 9));
    expect(health.openEdges).toBe(3);
    expect(health.findings[0]).toMatchObject({ code: 'SURFACE_OPEN', count: 3, severity: 'info' });
    expect(health.findings[0]?.sentence).toBe(
      'The surface is open along 3 edges: its border, and holes if there are any.',
    );
  });

  test('turned inside out', () => {
    expect(codes(TETRAHEDRON.positions, [...TRIANGLES].reverse())).toContain('INSIDE_OUT');
    expect(codes(TETRAHEDRON.positions, TRIANGLES)).not.toContain('INSIDE_OUT');
  });

  test('one face turned over makes three flipped edges', () => {
    const { health } = scanOf(TETRAHEDRON.positions, [...TRIANGLES.slice(0, 9), 2, 3, 0]);
    expect(health.flippedEdges).toBe(3);
    expect(health.findings).toContainEqual(
      expect.objectContaining({ code: 'FLIPPED_EDGES', severity: 'warning', count: 3 }),
    );
  });

  test('a fin on an edge makes it non-manifold', () => {
    const { health } = scanOf([...TETRAHEDRON.positions, 5, -5, 5], [...TRIANGLES, 0, 1, 4]);
    expect(health).toMatchObject({ nonManifoldEdges: 1, openEdges: 2, components: 2 });
    expect(health.findings).toContainEqual(expect.objectContaining({ code: 'NON_MANIFOLD_EDGES', count: 1 }));
  });

  test('two pieces, one of them a crumb, are counted', () => {
    // A 20 x 20 sheet of 800 triangles and one loose triangle: 1 of 801 is below the crumb share of 1 %.
    const positions: number[] = [];
    const triangles: number[] = [];
    for (let j = 0; j <= 20; j++) for (let i = 0; i <= 20; i++) positions.push(i, j, 0);
    for (let j = 0; j < 20; j++) {
      for (let i = 0; i < 20; i++) {
        const a = 21 * j + i;
        triangles.push(a, a + 1, a + 22, a, a + 22, a + 21);
      }
    }
    triangles.push(positions.length / 3, positions.length / 3 + 1, positions.length / 3 + 2);
    positions.push(50, 0, 0, 51, 0, 0, 50, 1, 0);
    const { health } = scanOf(positions, triangles);
    expect(health).toMatchObject({ components: 2, largestComponentTriangles: 800 });
    expect(health.findings.find(({ code }) => code === 'SEVERAL_PIECES')?.sentence).toBe(
      'The surface is in 2 separate pieces, 1 crumb among them; the largest holds 99.9 % of the triangles.',
    );
    expect(health.areaMm2).toBeCloseTo(400.5, 9);
  });

  test('repairs are counted and worded, in the singular and the plural', () => {
    const positions = [...TETRAHEDRON.positions, 0, 0, 0, 20, 0, 0, 99, 99, 99];
    // Corner 4 repeats corner 0; (0, 1, 5) lies on a line; the last but one repeats the first; vertex 6 is unused.
    const { health } = scanOf(positions, [4, 2, 1, ...TRIANGLES.slice(3), 0, 1, 5, 2, 1, 0, 1, 0, 2]);
    expect(health).toMatchObject({
      vertices: 4,
      triangles: 4,
      weldedVertices: 1,
      degenerateRemoved: 1,
      duplicatesRemoved: 2,
    });
    const sentences = health.findings.map(({ sentence }) => sentence);
    expect(sentences.slice(0, 3)).toEqual([
      '1 triangle without area removed.',
      '2 repeated triangles removed.',
      '2 vertices that belong to no triangle removed.',
    ]);
    // One in seven is more than a stray sliver.
    expect(health.findings[0]).toMatchObject({
      code: 'DEGENERATE_TRIANGLES_REMOVED',
      severity: 'warning',
      count: 1,
    });
  });
});
