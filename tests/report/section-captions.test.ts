import { describe, expect, it } from 'vitest';
import { gumCaption, upCaption } from '../../src/report/section-captions.ts';
import type { Point } from '../../src/report/section-lines.ts';

const FRAME = { x: 0, y: 0, widthPx: 400, heightPx: 300 };
/** Pixels as they are: y downwards. */
const same = (p: Point): Point => p;

/** The outline of a crown as a box: up, across at `top`, down. */
const box = (left: number, right: number, top: number): Point[] => [
  [left, 290],
  [left, top],
  [right, top],
  [right, 290],
];

describe('the words at the upper rim', () => {
  it('stand in the middle where the crowns leave room', () => {
    const [caption] = upCaption([box(0, 190, 60), box(210, 400, 60)], same, FRAME);
    expect(caption).toMatchObject({ what: 'up', x: 200, y: 16, anchor: 'middle' });
  });

  it('move aside from a crown that reaches up to the rim, as far as need be and no farther', () => {
    const [caption] = upCaption([box(0, 190, 60), box(210, 400, 10)], same, FRAME);
    // Their right end lies before the crown's left wall.
    expect(caption!.x + 46).toBeLessThan(210);
    expect(caption!.x + 46).toBeGreaterThan(210 - 5);
  });

  it('see a crown whose long edge passes over them without a corner among them', () => {
    const roof: Point[] = [
      [0, 290],
      [0, 5],
      [400, 5],
    ];
    expect(upCaption([roof], same, FRAME)).toEqual([]);
  });

  it('are left out where the crowns reach the rim all along', () => {
    expect(upCaption([box(-50, 195, -20), box(205, 450, 12)], same, FRAME)).toEqual([]);
  });
});

it('gum is named at the piece of it that shows nearest the contact, inside the frame', () => {
  const pieces: Point[][] = [box(20, 60, 200), box(180, 230, 250)];
  expect(gumCaption(pieces, same, FRAME)).toMatchObject([{ text: 'gum', x: 205 }]);
  expect(gumCaption([box(500, 600, 200)], same, FRAME)).toEqual([]);
});
