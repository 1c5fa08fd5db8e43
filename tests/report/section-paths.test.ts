import { describe, expect, it } from 'vitest';
import type { Point } from '../../src/report/section-lines.ts';
import { bodyOf, gumBodyOf, pathOf } from '../../src/report/section-paths.ts';

const FRAME = { x: 0, y: 0, widthPx: 100, heightPx: 100 };
/** 10 px per mm, v upwards, origin in the middle of the frame. */
const toPx = ([u, v]: Point): Point => [50 + 10 * u, 50 - 10 * v];
const numbers = (path: string) => path.match(/-?[\d.]+/g)!.map(Number);

describe('pathOf', () => {
  it('passes through the ends of a line', () => {
    const path = numbers(
      pathOf(
        [
          [
            [-1, 0],
            [0, 1],
            [1, 0],
          ],
        ],
        toPx,
        FRAME,
        0.05,
      ),
    );
    expect(path.slice(0, 2)).toEqual([40, 50]);
    expect(path.slice(-2)).toEqual([60, 50]);
  });

  it('spends few points where the line is clipped anyway', () => {
    const line: Point[] = Array.from({ length: 400 }, (_, k) => [20 + k * 0.05, 0]);
    expect(numbers(pathOf([line], toPx, FRAME, 0.05)).length).toBeLessThan(200);
  });

  it('is empty without lines', () => {
    expect(pathOf([], toPx, FRAME, 0.05)).toBe('');
  });
});

describe('bodyOf', () => {
  it('closes an open crown downwards past the frame, and a closed one onto itself', () => {
    const open = bodyOf(
      [
        [
          [-1, 0],
          [0, 1],
          [1, 0],
        ],
      ],
      toPx,
      FRAME,
      0.05,
    );
    expect(open.endsWith('L60 140L40 140Z')).toBe(true);
    const shell = bodyOf(
      [
        [
          [0, 0],
          [1, 0],
          [1, 1],
          [0, 1],
          [0, 0],
        ],
      ],
      toPx,
      FRAME,
      0.05,
    );
    expect(shell.endsWith('Z')).toBe(true);
    expect(Math.max(...numbers(shell))).toBeLessThan(140);
  });
});

describe('gumBodyOf', () => {
  it('fills every piece of gum downwards', () => {
    const pieces: Point[][] = [
      [
        [-1, -3],
        [0, -2],
      ],
      [
        [1, -2],
        [2, -3],
      ],
    ];
    expect(gumBodyOf(pieces, toPx, FRAME, 0.05).match(/Z/g)).toHaveLength(2);
  });
});
