import { describe, expect, it } from 'vitest';
import { icosphere } from '../../fixtures/shapes.ts';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { triangleAreas } from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import type { ClickSet } from '../../src/teeth/types.ts';
import { scanOf } from '../teeth/shared-scans.ts';
import { BORDER_CAP_MM, borderDistances, borderError, labelBorders } from './border-error.ts';
import { jitterClicks } from './jitter-clicks.ts';
import { labelPieces } from './label-pieces.ts';
import { mean, quantile, rootMeanSquare, shareOf, worst } from './statistics.ts';
import { columns, fixed, micrometres, percent, textTable } from './text-table.ts';
import { toothOverlap } from './tooth-overlap.ts';
import { labelsOfTriangles, labelsOfVertices } from './truth-labels.ts';

/** A strip of n unit squares along x, each cut in two triangles: square k owns triangles 2k and 2k + 1. */
function strip(n: number): TriangleMesh {
  const positions: number[] = [];
  for (let x = 0; x <= n; x += 1) positions.push(x, 0, 0, x, 1, 0);
  const triangles: number[] = [];
  for (let k = 0; k < n; k += 1) {
    const v = 2 * k;
    triangles.push(v, v + 2, v + 3, v, v + 3, v + 1);
  }
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** Label per square to label per triangle. */
function perSquare(...labels: number[]): Uint8Array {
  return Uint8Array.from(labels.flatMap((label) => [label, label]));
}

const mesh = strip(10);
const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
const area = triangleAreas(mesh);
const truth = perSquare(0, 0, 11, 11, 11, 21, 21, 21, 0, 0);

describe('toothOverlap', () => {
  it('is 1 for equal labels', () => {
    const nothing = { lostToGum: 0, lostToTeeth: 0, takenFromGum: 0, takenFromTeeth: 0 };
    expect([...toothOverlap(area, truth, truth)]).toEqual([
      [11, { iou: 1, ...nothing }],
      [21, { iou: 1, ...nothing }],
    ]);
  });

  it('is shared over united area: one square too many on gum, one lost to the neighbour', () => {
    const labels = perSquare(0, 11, 11, 11, 21, 21, 21, 21, 0, 0);
    // 11: 2 of {1,2,3} and {2,3,4} = 2 / 4; 21: 3 of 4.
    const found = toothOverlap(area, truth, labels);
    expect([...found.values()].map(({ iou }) => iou)).toEqual([0.5, 0.75]);
    const third = expect.closeTo(1 / 3, 12);
    expect(found.get(11)).toMatchObject({ lostToGum: 0, lostToTeeth: third, takenFromGum: third });
    expect(found.get(21)).toMatchObject({ lostToGum: 0, takenFromGum: 0, takenFromTeeth: third });
  });

  it('weighs by area and scores a tooth that is absent with 0', () => {
    const weighed = area.map((a, t) => (t >= 10 && t < 12 ? 3 * a : a));
    const labels = perSquare(0, 0, 0, 0, 0, 21, 21, 0, 0, 0);
    const found = toothOverlap(weighed, truth, labels);
    expect([...found.values()].map(({ iou }) => iou)).toEqual([0, 4 / 5]);
    expect(found.get(11)!.lostToGum).toBe(1);
    expect(found.get(21)!.lostToGum).toBe(1 / 5);
  });

  it('leaves out labels that the truth does not know', () => {
    const labels = perSquare(0, 0, 11, 11, 11, 21, 21, 21, 22, 0);
    expect([...toothOverlap(area, truth, labels).keys()]).toEqual([11, 21]);
  });
});

describe('border error', () => {
  const borders = labelBorders(mesh, adjacency, truth);

  it('takes the middles of edges between unlike triangles', () => {
    expect([...borders.gum]).toEqual([
      ['11', [2, 0.5, 0]],
      ['21', [8, 0.5, 0]],
    ]);
    expect([...borders.teeth]).toEqual([['11-21', [5, 0.5, 0]]]);
  });

  it('is 0 for equal labels and the shift for shifted ones', () => {
    expect(borderDistances(borders.gum, borders.gum)).toEqual([0, 0, 0, 0]);
    const shifted = labelBorders(mesh, adjacency, perSquare(0, 0, 0, 11, 11, 11, 21, 21, 21, 0));
    expect(borderDistances(borders.gum, shifted.gum)).toEqual([1, 1, 1, 1]);
    expect(borderError(borderDistances(borders.teeth, shifted.teeth))).toEqual({
      points: 2,
      medianMm: 1,
      p95Mm: 1,
    });
  });

  it('does not take a border of other teeth for this one: a lost border costs the cap', () => {
    const apart = labelBorders(mesh, adjacency, perSquare(0, 0, 11, 11, 0, 21, 21, 21, 0, 0));
    expect(borderDistances(borders.teeth, apart.teeth)).toEqual([BORDER_CAP_MM]);
    const others = labelBorders(mesh, adjacency, perSquare(0, 0, 12, 12, 12, 21, 21, 21, 0, 0));
    expect(borderDistances(borders.teeth, others.teeth)).toEqual([BORDER_CAP_MM, BORDER_CAP_MM]);
  });

  it('looks both ways: a stray piece counts although the truth is met everywhere', () => {
    const stray = labelBorders(mesh, adjacency, perSquare(0, 0, 11, 11, 11, 21, 21, 21, 0, 21));
    expect(borderDistances(borders.gum, stray.gum).sort()).toEqual([0, 0, 0, 0, 1]);
  });
});

describe('labelPieces', () => {
  it('counts what hangs together over edges', () => {
    const labels = perSquare(11, 0, 11, 11, 21, 21, 11, 0, 0, 0);
    expect([...labelPieces(adjacency, labels)].sort()).toEqual([
      [11, 3],
      [21, 1],
    ]);
  });
});

describe('true labels on a checked scan', () => {
  const scan = {
    ...scanOf(mesh),
    // The file had one triangle more in front, and its vertices the other way round.
    triangleInFile: Uint32Array.from({ length: 20 }, (_, t) => t + 1),
    vertexInFile: Uint32Array.from({ length: 22 }, (_, i) => 21 - i),
  };
  const counted = { ...scan, source: { ...scan.source, trianglesInFile: 21, verticesInFile: 22 } };

  it('follow the file numbers of triangles; crumbs are no tooth', () => {
    const inFile = Uint8Array.from([99, ...truth]);
    inFile[1] = 255;
    expect(labelsOfTriangles(counted, inFile)).toEqual(truth);
  });

  it('follow the file numbers of vertices, by majority of the corners', () => {
    // Vertices at x <= 4 are of 11, the rest of 21: square 4 (x from 4 to 5) has mixed triangles.
    const perVertex = Uint8Array.from({ length: 22 }, (_, i) => (21 - i < 10 ? 11 : 21));
    const labels = labelsOfVertices(counted, perVertex);
    expect([...labels.slice(0, 8)]).toEqual(new Array(8).fill(11));
    expect([...labels.slice(8, 10)]).toEqual([21, 11]);
    expect([...labels.slice(10)]).toEqual(new Array(10).fill(21));
  });

  it('are refused when their number does not fit', () => {
    expect(() => labelsOfTriangles(counted, truth)).toThrowError(/20 bytes.*21 triangles/);
    expect(() => labelsOfVertices(counted, truth)).toThrowError(/20 bytes.*22 vertices/);
  });
});

describe('jitterClicks', () => {
  const sphere = icosphere({ radius: 5, edgeMm: 0.3 });
  const areas = triangleAreas(sphere);
  const top = Uint8Array.from({ length: areas.length }, (_, t) =>
    sphere.positions[3 * sphere.triangles[3 * t]! + 2]! > 2 ? 11 : 0,
  );
  const clicks: ClickSet = {
    jaw: 'upper',
    clicks: [
      { tooth: 11, point: [0, 0, 5] },
      { tooth: 'gum', point: [0, 0, -5] },
      { tooth: 21, point: [5, 0, 0] },
    ],
    missing: [],
    fixed: [],
  };

  it('stays on the crown, within reach, differs by seed and repeats for the same', () => {
    const moved = [1, 2, 3].map((seed) => jitterClicks(sphere, areas, top, clicks, 1.5, seed));
    const points = moved.map((set) => set.clicks[0]!.point);
    for (const point of points) {
      expect(distance(point, [0, 0, 5])).toBeGreaterThan(0);
      expect(distance(point, [0, 0, 5])).toBeLessThanOrEqual(1.5);
    }
    expect(new Set(points.map(String)).size).toBe(3);
    expect(jitterClicks(sphere, areas, top, clicks, 1.5, 2)).toEqual(moved[1]);
  });

  it('leaves gum clicks and clicks without a crown where they are', () => {
    const moved = jitterClicks(sphere, areas, top, clicks, 1.5, 1);
    expect(moved.clicks.slice(1)).toEqual(clicks.clicks.slice(1));
  });

  it('spreads over the whole reach', () => {
    const reached = Array.from({ length: 60 }, (_, seed) =>
      distance(jitterClicks(sphere, areas, top, clicks, 1.5, seed).clicks[0]!.point, [0, 0, 5]),
    );
    // Uniform over a disk: half the area lies beyond 0.71 of its radius.
    const beyond = reached.filter((d) => d > 1.5 / Math.SQRT2).length / reached.length;
    expect(beyond).toBeGreaterThan(0.35);
    expect(beyond).toBeLessThan(0.65);
  });
});

describe('statistics', () => {
  it('quantile interpolates between order statistics, in any order of the values', () => {
    expect(quantile([4, 1, 3, 2], 0.5)).toBe(2.5);
    expect(quantile([4, 1, 3, 2], 0)).toBe(1);
    expect(quantile([4, 1, 3, 2], 1)).toBe(4);
    // R: quantile(c(1, 2, 3, 4), 0.05, type = 7) is 1.15
    expect(quantile([4, 1, 3, 2], 0.05)).toBeCloseTo(1.15, 12);
    expect(quantile([10, 9], 0.5)).toBe(9.5);
  });

  it('knows bias, spread and the farthest value with its sign', () => {
    expect(mean([-1, 3])).toBe(1);
    expect(rootMeanSquare([3, -4])).toBeCloseTo(Math.sqrt(12.5), 12);
    expect(worst([0.2, -0.3, 0.1])).toBe(-0.3);
    expect(shareOf([1, 2, 3, 4], (value) => value > 1)).toBe(0.75);
  });

  it('has no statistic of nothing', () => {
    expect([quantile([], 0.5), mean([]), rootMeanSquare([]), worst([]), shareOf([], () => true)]).toEqual([
      null,
      null,
      null,
      null,
      null,
    ]);
  });
});

describe('textTable', () => {
  it('is a Markdown table, texts left, numbers right, a dash for what is not known', () => {
    expect(
      textTable(columns('<arch', 'IoU'), [
        ['one', fixed(0.97, 3)],
        ['the second', null],
      ]),
    ).toBe(
      [
        '| arch       |   IoU |',
        '|------------|------:|',
        '| one        | 0.970 |',
        '| the second |     - |',
      ].join('\n'),
    );
    expect([percent(0.971), micrometres(-0.0123), fixed(null, 2)]).toEqual(['97.1 %', '-12.3', null]);
  });
});
