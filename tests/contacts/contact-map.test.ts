import { describe, expect, it } from 'vitest';
import { areaWithin } from '../../src/contacts/contact-area.ts';
import { contactMap, MAP_LEVELS_MM } from '../../src/contacts/contact-map.ts';
import { indexSurface } from '../../src/geometry/surface-distance.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

const RADIUS = 4;
const FRAME = { t: [1, 0, 0], b: [0, 1, 0], o: [0, 0, 1] } as const;
const ORIGIN: Vec3 = [RADIUS, 0, 0];

function polygonMm2(flat: readonly number[]): number {
  let twice = 0;
  for (let i = 0; i < flat.length; i += 2) {
    const j = (i + 2) % flat.length;
    twice += flat[i]! * flat[j + 1]! - flat[j]! * flat[i + 1]!;
  }
  return Math.abs(twice) / 2;
}

/** Two balls of which the second stands at `gap` along x. */
function maps(gapMm: number, levels = 5) {
  const a = indexSurface(sphereMesh(RADIUS, levels, [0, 0, 0]));
  const b = indexSurface(sphereMesh(RADIUS, levels, [2 * RADIUS + gapMm, 0, 0]));
  const middle: Vec3 = [RADIUS + gapMm / 2, 0, 0];
  const overlapping = gapMm < 0;
  return {
    a,
    b,
    ofA: contactMap(a, b, FRAME, 1, overlapping, ORIGIN, middle),
    ofB: contactMap(b, a, FRAME, -1, overlapping, ORIGIN, null),
  };
}

describe('contactMap', () => {
  it('draws bands that hold the caps of two balls, in closed form', () => {
    const { ofA } = maps(-0.2);
    const c = 2 * RADIUS - 0.2;
    let within = 0;
    for (const [k, toMm] of MAP_LEVELS_MM.entries()) {
      within += ofA.bands[k]!.pieces.reduce((sum, piece) => sum + polygonMm2(piece), 0);
      // Seen along x the cap nearer than d is a circle: its radius from the law of cosines.
      const x = (RADIUS ** 2 + c ** 2 - (RADIUS + toMm) ** 2) / (2 * c);
      expect(within / (Math.PI * (RADIUS ** 2 - x ** 2))).toBeCloseTo(1, 1.5);
    }
  });

  it('draws the same wall where the triangles of the crown face inwards', () => {
    const mesh = sphereMesh(RADIUS, 3, [0, 0, 0]);
    const turned = { ...mesh, triangles: mesh.triangles.slice().reverse() };
    const other = indexSurface(sphereMesh(RADIUS, 3, [2 * RADIUS + 0.01, 0, 0]));
    const [ofMesh, ofTurned] = [mesh, turned].map((shell) =>
      contactMap(indexSurface(shell), other, FRAME, 1, false, ORIGIN, null),
    );
    const drawn = (map: typeof ofMesh) =>
      map!.bands.map(({ pieces }) => pieces.reduce((sum, piece) => sum + polygonMm2(piece), 0));
    expect(drawn(ofMesh)[3]).toBeGreaterThan(1);
    for (const [k, mm2] of drawn(ofMesh).entries()) expect(drawn(ofTurned)[k]).toBeCloseTo(mm2, 6);
  });

  it('draws both walls in the same axes, the crown as a circle, the point of contact in its middle', () => {
    const { ofA, ofB } = maps(0.03);
    for (const { outline, bands } of [ofA, ofB]) {
      expect(polygonMm2(outline!) / (Math.PI * RADIUS ** 2)).toBeCloseTo(1, 2);
      expect(bands[0]!.pieces).toHaveLength(0);
      expect(bands[2]!.pieces.length).toBeGreaterThan(0);
    }
    expect(ofA.point![0]).toBeCloseTo(0, 3);
    expect(ofB.point).toBeNull();
    const areas = [ofA, ofB].map(({ bands }) =>
      bands[2]!.pieces.reduce((sum, piece) => sum + polygonMm2(piece), 0),
    );
    expect(areas[0]! / areas[1]!).toBeCloseTo(1, 1);
  });

  it('agrees with the area of contact where the wall is seen flat on', () => {
    const { a, b, ofA } = maps(0.01);
    const [within20] = areaWithin(a, b, false, [0.02]);
    const drawn = [...ofA.bands[0]!.pieces, ...ofA.bands[1]!.pieces].reduce(
      (sum, p) => sum + polygonMm2(p),
      0,
    );
    expect(drawn / within20!).toBeCloseTo(1, 2);
  });

  it('draws nothing but the outline where the neighbour is far', () => {
    const { ofA } = maps(1, 3);
    expect(ofA.bands.every(({ pieces }) => pieces.length === 0)).toBe(true);
  });
});
