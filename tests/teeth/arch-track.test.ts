import { describe, expect, it } from 'vitest';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { templatePlace } from '../../src/teeth/arch-template.ts';
import { TRACK_STEP_MM, trackArch } from '../../src/teeth/arch-track.ts';
import { type CrownRelief, crownRelief } from '../../src/teeth/crown-relief.ts';
import { archOrder } from '../../src/teeth/notation.ts';
import { textbookSize } from '../../src/teeth/tooth-sizes-table.ts';
import type { Jaw, OcclusalFrame } from '../../src/teeth/types.ts';

const FRAME: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
/** Textbook arches are narrower or wider than the usual one by this share, and turned a little. */
const STRETCH = 1.08;
const TURN = 0.15;

function placeOf(tooth: number, jaw: Jaw): Vec3 {
  const [x, y] = templatePlace(tooth, jaw);
  const [c, s] = [Math.cos(TURN), Math.sin(TURN)];
  return [STRETCH * (c * x - s * y), STRETCH * (s * x + c * y), 7];
}

/** A jaw of round domes on a flat floor, no third molars. */
function domes(jaw: Jaw): { relief: CrownRelief; teeth: number[] } {
  const teeth = archOrder(jaw).filter((tooth) => tooth % 10 !== 8);
  const crowns = teeth.map((tooth) => ({
    at: placeOf(tooth, jaw),
    radius: 0.55 * textbookSize(tooth).mesiodistalMm,
  }));
  const [columns, rows] = [180, 180];
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const [x, y] = [c / 2 - 45, r / 2 - 25];
      let z = 0;
      for (const { at, radius } of crowns) {
        z = Math.max(z, 7 * Math.sqrt(Math.max(0, 1 - ((x - at[0]) ** 2 + (y - at[1]) ** 2) / radius ** 2)));
      }
      positions.push(x, y, z);
      if (r === 0 || c === 0) continue;
      const i = r * columns + c;
      triangles.push(i - columns - 1, i - columns, i, i - columns - 1, i, i - 1);
    }
  }
  const mesh: TriangleMesh = {
    positions: Float32Array.from(positions),
    triangles: Uint32Array.from(triangles),
  };
  return { relief: crownRelief(mesh, FRAME), teeth };
}

describe('trackArch', () => {
  it.each([
    ['upper', [17, 16, 15]],
    ['upper', [13, 23]],
    ['lower', [37, 36]],
  ] as const)('runs over every crown of a %s jaw from clicks on %j, right to left', (jaw, clicked) => {
    const { relief, teeth } = domes(jaw);
    const clicks = clicked.map((tooth) => ({ tooth, point: placeOf(tooth, jaw) }));
    const { points, count } = trackArch(relief, clicks, jaw);
    const nearest = teeth.map((tooth) => {
      const centre = placeOf(tooth, jaw);
      let best = { i: -1, away: Number.POSITIVE_INFINITY };
      for (let i = 0; i < count; i++) {
        const away = distance([points[2 * i]!, points[2 * i + 1]!, 7], centre);
        if (away < best.away) best = { i, away };
      }
      return best;
    });
    for (const { away } of nearest) expect(away).toBeLessThan(1.5);
    const along = nearest.map(({ i }) => i);
    expect(along).toEqual(along.toSorted((a, b) => a - b));
    for (let i = 1; i < count; i++) {
      const step = Math.hypot(points[2 * i]! - points[2 * i - 2]!, points[2 * i + 1]! - points[2 * i - 1]!);
      expect(step).toBeLessThanOrEqual(TRACK_STEP_MM + 1e-9);
    }
  });
});
