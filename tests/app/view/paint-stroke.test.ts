import { describe, expect, it } from 'vitest';
import type { StrokePiece } from '../../../src/app/kernel/display-types.ts';
import { makePaintStroke } from '../../../src/app/view/paint-stroke.ts';

/** A flat scan, 10 px per mm; it ends at x = 300 px. Triangle 0 left of 100 px, 1 right of it. */
function makeStroke(labels: Uint8Array | null) {
  const pieces: StrokePiece[] = [];
  const paint = makePaintStroke({
    hitAt: (x, y) =>
      x > 300 ? null : { point: [x / 10, y / 10, 0], triangle: x < 100 ? 0 : 1, distanceMm: 1 },
    pxPerMm: () => 10,
    labels: () => labels,
    paint: (piece) => pieces.push(piece),
  });
  return { paint, pieces };
}

describe('makePaintStroke', () => {
  it('lays points half a millimetre apart, however far the pointer jumps', () => {
    const { paint, pieces } = makeStroke(Uint8Array.of(11, 0));
    paint(50, 0, true);
    paint(90, 0, false);
    paint(92, 0, false);
    const xs = pieces.flatMap((piece) => piece.points.map((p) => p[0]));
    expect(xs).toHaveLength(9);
    for (let k = 1; k < xs.length; k++) expect(xs[k]! - xs[k - 1]!).toBeCloseTo(0.5, 1);
  });

  it('says what each stroke began on, and counts the strokes', () => {
    const { paint, pieces } = makeStroke(Uint8Array.of(11, 0));
    paint(95, 0, true);
    paint(115, 0, false);
    paint(200, 0, true);
    expect(pieces.map((piece) => [piece.stroke, piece.beganOn])).toEqual([
      [1, 11],
      [1, 11],
      [2, 0],
    ]);
    const unknown = makeStroke(null);
    unknown.paint(50, 0, true);
    expect(unknown.pieces[0]!.beganOn).toBeNull();
  });

  it('paints nothing beside the scan', () => {
    const { paint, pieces } = makeStroke(null);
    paint(310, 0, true);
    paint(330, 0, false);
    expect(pieces).toEqual([]);
  });
});
