import { describe, expect, it } from 'vitest';
import type { SurfaceGraph } from '../../src/geometry/graph-surface.ts';
import { TRACK_STEP_MM } from '../../src/teeth/arch-track.ts';
import { type CrownRelief, RELIEF_CELL_MM } from '../../src/teeth/crown-relief.ts';
import { profileRow } from '../../src/teeth/row-profile.ts';

/** Three crowns in a straight row along x, 8 mm each, parted by notches at x = 8 and x = 16; gum beyond 0 and 24. */
function straightRow(): CrownRelief {
  const [columns, rows] = [110, 40];
  const height = new Float32Array(columns * rows);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const [x, y] = [c * RELIEF_CELL_MM - 10, r * RELIEF_CELL_MM - 8];
      const notch = Math.min(Math.abs(x - 8), Math.abs(x - 16));
      const half = notch < 1.2 ? 1 : 4;
      if (x >= 0 && x <= 24 && Math.abs(y) < half) height[r * columns + c] = 6;
    }
  }
  const frame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] } as const;
  return { frame, x0: -10, y0: -8, columns, rows, height, prominence: height };
}
const COUNT = 36 / TRACK_STEP_MM;
const TRACK = {
  points: Float64Array.from({ length: 2 * COUNT }, (_, k) => (k % 2 === 0 ? (k / 2) * TRACK_STEP_MM - 6 : 0)),
  count: COUNT,
};
const at = (x: number): number => Math.round((x + 6) / TRACK_STEP_MM);

/** Two nodes on either side of a fold that crosses the row at x, at y; concave by 1 per mm over 3 mm. */
function foldsAt(places: readonly (readonly [number, number])[]): SurfaceGraph {
  const n = 2 * places.length;
  return {
    nodeCount: n,
    start: Uint32Array.from({ length: n + 1 }, (_, i) => i),
    target: Uint32Array.from({ length: n }, (_, i) => i ^ 1),
    lengthMm: new Float32Array(n).fill(3),
    curvature: new Float32Array(n).fill(-1),
    area: new Float32Array(n).fill(1),
    rimMm: new Float32Array(n),
    centroid: Float32Array.from(places.flatMap(([x, y]) => [x - 0.2, y, 4, x + 0.2, y, 4])),
  };
}

describe('profileRow', () => {
  it('sees crowns where they stand, embrasures at the notches, and the ends of the row', () => {
    const { presence, embrasure, sectionMm2 } = profileRow(straightRow(), TRACK, foldsAt([]));
    expect([at(-3), at(4), at(12), at(20), at(27)].map((i) => presence[i])).toEqual([0, 1, 1, 1, 0]);
    // 8 mm wide, of which the upper 3.5 mm count.
    expect(sectionMm2[at(12)]!).toBeGreaterThan(24);
    expect(sectionMm2[at(12)]!).toBeLessThan(32);
    for (const x of [8, 16]) expect(embrasure[at(x)]!).toBeGreaterThan(2 * embrasure[at(x + 4)]! + 0.3);
    expect(embrasure[at(-3)]).toBe(1);
  });

  it('takes a fold on both sides for an embrasure, and one on a single side for a groove', () => {
    const both = profileRow(
      straightRow(),
      TRACK,
      foldsAt([
        [8, 2.5],
        [8, -2.5],
        [12, 2.5],
      ]),
    );
    const none = profileRow(straightRow(), TRACK, foldsAt([]));
    expect(both.embrasure[at(8)]!).toBeGreaterThan(none.embrasure[at(8)]! + 0.3);
    expect(both.embrasure[at(12)]!).toBeCloseTo(none.embrasure[at(12)]!, 6);
  });
});
