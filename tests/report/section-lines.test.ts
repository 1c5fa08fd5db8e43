import { describe, expect, it } from 'vitest';
import { isClosed, joinLines, longestLine, runsWhere, thinLine } from '../../src/report/section-lines.ts';

describe('joinLines', () => {
  it('joins pieces whose ends meet, in whatever order and sense they come', () => {
    const pieces = [
      [2, 0, 3, 0],
      [1, 0, 0, 0],
      [1, 0, 2, 0],
    ];
    const joined = joinLines(pieces);
    expect(joined).toHaveLength(1);
    const us = joined[0]!.map(([u]) => u);
    expect(us[0]! < us[3]! ? us : us.reverse()).toEqual([0, 1, 2, 3]);
  });

  it('keeps pieces apart that do not meet, and drops single points', () => {
    expect(
      joinLines([
        [0, 0, 1, 0],
        [1.1, 0, 2, 0],
        [5, 5],
      ]),
    ).toHaveLength(2);
  });

  it('leaves closed lines alone', () => {
    const square = [0, 0, 1, 0, 1, 1, 0, 1, 0, 0];
    expect(joinLines([square, [0, 0, -1, 0]])).toHaveLength(2);
  });
});

describe('thinLine', () => {
  it('keeps both ends and no two points closer than the step', () => {
    const dense = Array.from({ length: 101 }, (_, k) => [k / 100, 0] as const);
    const thin = thinLine(dense, () => 0.12);
    expect([thin[0], thin[thin.length - 1]]).toEqual([
      [0, 0],
      [1, 0],
    ]);
    const steps = thin.slice(1, -1).map(([u], k) => u - thin[k]![0]);
    expect(Math.min(...steps)).toBeGreaterThanOrEqual(0.12 - 1e-12);
  });
});

describe('longestLine', () => {
  it('goes by length, not by number of points', () => {
    const short = [
      [0, 0],
      [0.1, 0],
      [0.2, 0],
    ] as [number, number][];
    const long = [
      [0, 0],
      [3, 0],
    ] as [number, number][];
    expect(longestLine([short, long])).toBe(long);
    expect(longestLine([])).toBeNull();
  });
});

describe('isClosed', () => {
  it('asks whether the ends meet', () => {
    expect(
      isClosed([
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 0],
      ]),
    ).toBe(true);
    expect(
      isClosed([
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ]),
    ).toBe(false);
  });
});

describe('runsWhere', () => {
  it('cuts a line where the condition fails and drops single points', () => {
    const line = [0, 1, 2, 3, 4, 5, 6, 7].map((u) => [u, 0] as const);
    const runs = runsWhere(line, ([u]) => u < 2 || u === 3 || u > 4);
    expect(runs.map((run) => run.map(([u]) => u))).toEqual([
      [0, 1],
      [5, 6, 7],
    ]);
  });
});
