import { describe, expect, it } from 'vitest';
import type { SurfaceGraph } from '../../src/geometry/graph-surface.ts';
import type { CrownPrior } from '../../src/teeth/crown-prior.ts';
import { connectedDisk, hardSeeds, type LandedClick } from '../../src/teeth/hard-seeds.ts';

/** Nodes on a line 0.25 mm apart; the link between `cut` and the next is missing. */
function line(n: number, cut = -1): SurfaceGraph {
  const rows = Array.from({ length: n }, (_, i) =>
    [i - 1, i + 1].filter((j) => j >= 0 && j < n && Math.min(i, j) !== cut),
  );
  const start = new Uint32Array(n + 1);
  rows.forEach((row, i) => {
    start[i + 1] = start[i]! + row.length;
  });
  return {
    nodeCount: n,
    start,
    target: Uint32Array.from(rows.flat()),
    lengthMm: new Float32Array(rows.flat().length).fill(1),
    curvature: new Float32Array(rows.flat().length),
    rimMm: new Float32Array(n),
    area: new Float32Array(n).fill(1),
    centroid: Float32Array.from({ length: 3 * n }, (_, k) => (k % 3 === 0 ? k / 12 : 0)),
  };
}

function priorOf(least: readonly number[], nearest: readonly number[]): CrownPrior {
  return {
    rho: [],
    windows: [],
    lateral: new Float32Array(least.length),
    nearest: Int16Array.from(nearest),
    least: Float32Array.from(least),
  };
}

const click = (label: number, node: number, correction: boolean): LandedClick => ({
  label,
  point: [node / 4, 0, 0],
  face: node,
  correction,
});

describe('hardSeeds', () => {
  const n = 20;
  const seedsOf = (prior: CrownPrior, clicks: readonly LandedClick[]): string => {
    const { fixed, label } = hardSeeds(line(n), prior, clicks, (face) => face);
    return [...fixed].map((value, i) => (value ? String(label[i]) : '.')).join('');
  };
  const undecided = priorOf(new Array(n).fill(1), new Array(n).fill(0));

  it('fixes the cores of crowns and what lies beyond all of them', () => {
    const least = Array.from({ length: n }, (_, i) => (i < 3 ? 0.2 : i > 16 ? 2.25 : 1));
    expect(seedsOf(priorOf(least, new Array(n).fill(1)), [])).toBe('222..............000');
  });

  it('fixes 1 mm around a first click and 0.7 mm around corrections, which come last', () => {
    expect(seedsOf(undecided, [click(1, 8, false)])).toBe('....111111111.......');
    expect(seedsOf(undecided, [click(0, 10, true), click(1, 8, false)])).toBe('....111100000.......');
    const newest = seedsOf(undecided, [click(1, 8, false), click(2, 9, true), click(0, 9, true)]);
    expect(newest).toBe('....111000001.......');
  });

  it('gives a place between two first clicks to the nearer one', () => {
    const both = seedsOf(undecided, [click(1, 6, false), click(2, 11, false)]);
    expect(both).toBe('..11111112222222....');
  });

  it('does not reach across a place where the surface is not joined', () => {
    expect([...connectedDisk(line(n, 9), 8, [2, 0, 0], 1).keys()].sort((a, b) => a - b)).toEqual([
      4, 5, 6, 7, 8, 9,
    ]);
    expect(connectedDisk(line(n), -1, [2, 0, 0], 1).size).toBe(0);
  });
});
