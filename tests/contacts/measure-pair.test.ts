import { describe, expect, it } from 'vitest';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import type { ContactFrame } from '../../src/contacts/contact-frame.ts';
import { contactWithLimit } from '../../src/contacts/decide.ts';
import { contactRecord } from '../../src/contacts/measure-arch.ts';
import { measurePair, type PairMeasurement } from '../../src/contacts/measure-pair.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import type { Contact } from '../../src/contacts/types.ts';

import { heightField } from '../helpers/height-field.ts';
import {
  makeWallPair,
  sphereWall,
  type WallPair,
  type WallPairSpec,
  type WallShape,
} from '../helpers/wall-pair.ts';

const FRAME: ContactFrame = { t: [1, 0, 0], o: [0, 0, 1], b: [0, 1, 0] };
const SPEC: WallPairSpec = {
  a: sphereWall(3),
  b: sphereWall(4),
  gapMm: 0.4,
  edgeMm: 0.2,
  noiseMm: 0.01,
  seed: 12,
};

function measure({ mesh, labels }: WallPair, limitMm = 0.1): PairMeasurement {
  const arch = prepareArchSurface(mesh, labels);
  return measurePair(arch, arch.teeth.get(11)!, arch.teeth.get(21)!, FRAME, UNCALIBRATED_SCANNER, limitMm);
}

/** The same walls with gum below z = -depth: the closest place is `depth` above the gum line. */
function withGum(depth: number, spec: WallPairSpec = SPEC): WallPair {
  const { mesh, labels } = makeWallPair(spec);
  const out = labels.map((label, t) => {
    let z = 0;
    for (let k = 0; k < 3; k += 1) z += mesh.positions[3 * mesh.triangles[3 * t + k]! + 2]! / 3;
    return z < -depth ? 0 : label;
  });
  return { mesh, labels: out };
}

describe('measurePair near gum and borders', () => {
  it('measures well above the gum as if it were not there', () => {
    const result = measure(withGum(1.5));
    expect(result.gap).not.toBeNull();
    expect(Math.abs(result.gap!.valueMm - 0.4)).toBeLessThan(0.02);
    expect(result.upperBoundMm).toBeNull();
    expect(result.notes).toEqual([]);
  });

  it('gives a bound, not a number, where the closest place is at the gum', () => {
    for (const depth of [0.1, -0.3, -0.8]) {
      const result = measure(withGum(depth));
      expect(result.gap).toBeNull();
      expect(result.fit).toBeNull();
      expect(result.notes).toContain('near-gum');
      // what is seen is at most this; the true space may be smaller below the gum
      expect(result.upperBoundMm).toBeGreaterThan(0.4);
    }
  });

  it('gives a bound, not a number, where a narrower place is hidden under the gum and the walls still close in', () => {
    // 0.4 mm at the seen minimum, wider below it, narrower again at and under the gum
    const wall: WallShape = { depth: (y, z) => (y * y) / 6 + 0.3 * z * z * (1 + z / 1.6) };
    const hidden = 0.4 + 2 * 0.3 * 2.3 * 2.3 * (1 - 2.3 / 1.6);
    const result = measure(withGum(2, { ...SPEC, a: wall, b: wall, edgeMm: 0.15, halfSizeMm: 2.6 }));
    expect(hidden).toBeLessThan(0);
    expect(result.gap).toBeNull();
    expect(result.notes).toContain('closes-in');
    expect(result.upperBoundMm).toBeGreaterThan(0.35);
    expect(result.upperBoundMm).toBeLessThan(0.5);
  });

  it('allows for a narrower place under the gum where the walls run into it side by side, and not where they open', () => {
    // even walls, 0.4 mm apart, that come nearer below the gum line, where nothing is seen
    const gumMm = 1.5;
    const narrower = (z: number) =>
      z > -gumMm - 0.2 ? 0 : 0.02 * Math.min(1, (-gumMm - 0.2 - z) / 0.5) ** 2;
    const wall: WallShape = { depth: (y, z) => (y * y) / 6 + 0.002 * z * z - narrower(z) };
    const even = measure(withGum(gumMm, { ...SPEC, a: wall, b: wall, edgeMm: 0.15, halfSizeMm: 2.6 })).gap!;
    expect(even.terms.find((term) => term.name === 'gum')?.standardMm).toBe(0.02);
    const hidden = 0.4 + 2 * (0.002 * 2.2 ** 2 - 0.03);
    expect(hidden).toBeLessThan(0.37);
    expect(Math.abs(even.valueMm - hidden)).toBeLessThan(even.u95Mm);
    const open = measure(withGum(gumMm)).gap!;
    expect(open.terms.map((term) => term.name)).not.toContain('gum');
    expect(open.u95Mm).toBeLessThan(even.u95Mm - 0.01);
  });

  it('between the two it may need more of the wall, and stays honest', () => {
    let numbers = 0;
    for (let seed = 1; seed <= 12; seed += 1) {
      const result = measure(withGum(0.55, { ...SPEC, seed }));
      if (result.gap === null) {
        expect(result.upperBoundMm).toBeGreaterThan(0.4 - 0.02);
        continue;
      }
      numbers += 1;
      expect(Math.abs(result.gap.valueMm - 0.4)).toBeLessThan(result.gap.u95Mm);
    }
    expect(numbers).toBeGreaterThan(4);
  });

  it('names no gum and no border where the closest place lies where the walls are not seen', () => {
    // Level ground of 0.3 above z = 0; below it both walls overhang by 66 degrees, which is no wall that faces the other,
    // down to a cut 1.2 mm farther on. The closest place of what is seen lies near z = 0, some 3 mm apart (2.6 with the
    // edge of 0.2 mm that still faces).
    const wall: WallShape = { depth: (_, z) => (z > 0 ? 0.3 : 2.2) * z };
    const pair = makeWallPair({ ...SPEC, a: wall, b: wall, gapMm: 3 });
    const { mesh, labels } = pair;
    const above = [...labels.keys()].filter((t) =>
      mesh.triangles.subarray(3 * t, 3 * t + 3).every((v) => mesh.positions[3 * v + 2]! > -0.5),
    );
    const cut: WallPair = {
      mesh: {
        positions: mesh.positions,
        triangles: Uint32Array.from(above.flatMap((t) => [...mesh.triangles.subarray(3 * t, 3 * t + 3)])),
      },
      labels: Uint8Array.from(above.map((t) => labels[t]!)),
    };
    const result = measure(cut);
    expect(result).toMatchObject({ gap: null, notes: ['not-seen'] });
    expect(result.nearestMm).toBeGreaterThan(2.5);
    expect(result.upperBoundMm).toBeGreaterThan(result.nearestMm!);
  });

  it('bounds nothing where too little of the walls is seen to tell their noise', () => {
    const few = makeWallPair({ ...SPEC, halfSizeMm: 0.25, noiseMm: 0.04 });
    const result = measure(few);
    expect(result).toMatchObject({ gap: null, upperBoundMm: null, notes: ['near-edge', 'no-bound'] });
    expect(result.nearestMm).not.toBeNull();
  });

  it('one wall without a proximal side is said to be seen from one side only', () => {
    const { mesh, labels } = makeWallPair(SPEC);
    const turned = mesh.triangles.map((_, i, t) => {
      if (labels[Math.floor(i / 3)] !== 21) return t[i]!;
      return t[i % 3 === 1 ? i + 1 : i % 3 === 2 ? i - 1 : i]!;
    });
    const result = measure({ mesh: { positions: mesh.positions, triangles: turned }, labels });
    expect(result).toMatchObject({ gap: null, upperBoundMm: null, nearestMm: null, notes: ['one-sided'] });
  });

  it('a thread in the space is noted and does not draw the fitted walls', () => {
    const { mesh, labels } = makeWallPair(SPEC);
    const positions = Float32Array.from(mesh.positions);
    // pull the vertex of wall A nearest to the middle out by 0.3 mm
    let nearest = 0;
    let least = Number.POSITIVE_INFINITY;
    for (let v = 0; v < positions.length / 3; v += 1) {
      const d = Math.hypot(positions[3 * v]! + 0.2, positions[3 * v + 1]! - 0.2, positions[3 * v + 2]!);
      if (d < least) {
        least = d;
        nearest = v;
      }
    }
    positions[3 * nearest]! += 0.3;
    const result = measure({ mesh: { positions, triangles: mesh.triangles }, labels });
    expect(result.nearestMm).toBeLessThan(0.2);
    expect(Math.abs(result.gap!.valueMm - 0.4)).toBeLessThan(0.02);
    expect(result.notes).toContain('spike');
  });
});

describe('measurePair and labels that are wrong', () => {
  it('labels that meet across a crown, without facing walls beside them, give neither number nor bound', () => {
    // a dome with the border of the two labels over its top: convex, no space there at all
    const { mesh, labels } = heightField(
      3,
      3,
      0.2,
      (x, y) => -0.12 * (x * x + y * y),
      (x) => (x < 0 ? 11 : 21),
    );
    const result = measure({ mesh, labels });
    expect(result).toMatchObject({ gap: null, upperBoundMm: null, notes: ['labels-cross'] });
  });

  it('a valley between two walls is a web: bridged, bounded, without a number', () => {
    // two steep walls, a narrow valley floor between them that rises over the contact
    const { mesh, labels } = heightField(
      1.6,
      3,
      0.1,
      (x, y) => 2.4 * Math.max(0, Math.abs(x) - 0.1) - 0.4 * y * y,
      (x, y) => (Math.abs(y) > 2.4 ? 0 : x < 0 ? 11 : 21),
    );
    const result = measure({ mesh, labels });
    expect(result).toMatchObject({ gap: null, nearestMm: null, clearanceMm: null, bridge: 'full' });
    expect(result.upperBoundMm).toBeGreaterThan(0.2);
    expect(result.pointA).toEqual(result.pointB);
  });
});

describe('measurePair over a low border', () => {
  /** Two walls 0.2 mm apart that open by 1 in 2.4, over a floor that rises by `riseMm` from gum to the middle. */
  const valley = (riseMm: number) =>
    heightField(
      1.6,
      3,
      0.1,
      (x, y) => 2.4 * Math.max(0, Math.abs(x) - 0.1) - riseMm * (y / 1.6) ** 2,
      (x, y) => (Math.abs(y) > 1.6 ? 0 : x < 0 ? 11 : 21),
    );
  /** Distance of the walls where their surface is so far from the border on the floor, mm. */
  const apartMm = (alongMm: number) => 0.2 + 2 * ((alongMm - 0.1) / Math.hypot(1, 2.4));

  it.each([0.2, 0.5, 0.75])(
    'bounds the space by what is seen well above the border, though it rises by %f mm',
    (rise) => {
      const result = measure(valley(rise));
      expect(result).toMatchObject({ gap: null, bridge: 'full', notes: ['low-web'] });
      expect(result.upperBoundMm).toBeGreaterThan(apartMm(0.6));
      expect(result.upperBoundMm).toBeLessThan(apartMm(0.9) + 0.1);
    },
  );

  it('takes a border that rises higher for a web, and bounds it at its rim', () => {
    const result = measure(valley(1.6));
    expect(result).toMatchObject({ gap: null, bridge: 'full' });
    expect(result.notes).not.toContain('low-web');
    expect(result.upperBoundMm).toBeLessThan(apartMm(0.6));
  });
});

describe('measurePair and the limit', () => {
  const FRAME_OF_ARCH = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] } as const;
  const record = (pair: WallPair, limitMm: number): Contact =>
    contactRecord(
      { frame: FRAME_OF_ARCH },
      { toothA: 11, toothB: 21, between: [] },
      FRAME,
      limitMm,
      measure(pair, limitMm),
    );

  it('deciding anew gives exactly what measuring at that limit gives: coarse, fine, bridged', () => {
    const valley = heightField(
      1.6,
      3,
      0.1,
      (x, y) => 2.4 * Math.max(0, Math.abs(x) - 0.1) - 0.4 * y * y,
      (x, y) => (Math.abs(y) > 2.4 ? 0 : x < 0 ? 11 : 21),
    );
    const walls = (gapMm: number, edgeMm: number) => makeWallPair({ ...SPEC, gapMm, edgeMm });
    const pairs = [walls(0.2, 0.2), walls(0.3, 0.42), walls(2.4, 0.42), walls(3.5, 0.42), valley];
    const limits = [0, 0.1, 0.25, 0.51, 1.3, 5];
    const statuses = new Set<string>();
    for (const pair of pairs) {
      const measured = limits.map((limit) => record(pair, limit));
      for (const from of measured) {
        statuses.add(from.status);
        limits.forEach((limit, k) => {
          expect(contactWithLimit(from, limit)).toEqual(measured[k]);
        });
      }
    }
    // the pairs show something: a coarse space that is open at one limit and has only a bound at another
    expect(statuses).toContain('open');
    expect(statuses).toContain('not-measurable');
    expect(statuses).toContain('bridged');
  });
});
