import { describe, expect, it } from 'vitest';
import { fitRestoration } from '../../src/contacts/fit-restoration.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { ballScene, FRAME, inLowerJaw, RADIUS, TARGET } from '../helpers/ball-restoration.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

async function fitted(mesialMm: number, distalMm: number, target = TARGET) {
  const { restoration, scan } = ballScene(mesialMm, distalMm);
  const [mesial, distal] = await fitRestoration(restoration, 24, scan, target);
  return { mesial: mesial!, distal: distal! };
}

/** Cap of one ball nearer than d to another: height from the law of cosines, area 2 pi r h. */
function capMm2(overlapMm: number, d: number): number {
  const c = 2 * RADIUS - overlapMm;
  const x = (RADIUS ** 2 + c ** 2 - (RADIUS + d) ** 2) / (2 * c);
  return 2 * Math.PI * RADIUS * (RADIUS - x);
}

async function codeOf(work: Promise<unknown>): Promise<string> {
  return await work.then(
    () => 'none',
    (fault: { code: string }) => fault.code,
  );
}

describe('fitRestoration', () => {
  it('measures balls apart and through each other to a few micrometres', async () => {
    for (const [m, d] of [
      [0.2, -0.1],
      [-0.25, 0.05],
      [0, -0.5],
      [-0.9, 0.7],
    ] as const) {
      const { mesial, distal } = await fitted(m, d);
      expect([mesial.side, distal.side]).toEqual(['mesial', 'distal']);
      // The fit follows facets of 0.3 mm edges, whose middles lie 3 um inside of each ball.
      expect(Math.abs(mesial.space!.valueMm - m)).toBeLessThan(0.01);
      expect(Math.abs(distal.space!.valueMm - d)).toBeLessThan(0.01);
      expect(Math.abs(mesial.space!.valueMm - m)).toBeLessThan(mesial.space!.u95Mm);
    }
  });

  it('says per side too tight, as wanted, open, and how much to add or take', async () => {
    const { mesial, distal } = await fitted(0.2, -0.2);
    expect([mesial.status, distal.status]).toEqual(['open', 'too-tight']);
    // To the middle of the target, -0.015 mm; the balls' facets lie 3 um inside of each.
    expect(Math.abs(mesial.addMm! - 0.215)).toBeLessThan(0.01);
    expect(Math.abs(distal.addMm! + 0.185)).toBeLessThan(0.01);
    // Half a target of 0.03 mm is less than U: the estimate lies inside, the interval does not.
    const near = await fitted(-0.015, 0.015);
    expect([near.mesial.status, near.distal.status]).toEqual(['undecided', 'undecided']);
    const wide = await fitted(0.2, 0.2, { wideMm: 0.25, tightMm: 0.15 });
    expect(wide.mesial.status).toBe('as-wanted');
  });

  it('calls an overlap too tight that is deeper than can be measured, without a number or an area', async () => {
    for (const deepMm of [-0.97, -1.2, -2]) {
      const { mesial, distal } = await fitted(0.3, deepMm);
      expect([mesial.status, distal.status]).toEqual(['open', 'too-tight']);
      expect([distal.space, distal.addMm, distal.within20umMm2, distal.within50umMm2]).toEqual([
        null,
        null,
        null,
        null,
      ]);
      expect(distal.deeperThanMm).toBeGreaterThan(0.85);
      expect(distal.deeperThanMm).toBeLessThan(-deepMm);
      expect(distal.notes).toContain('deeper-than-measured');
    }
  });

  it('says what bounds the space where the closest place was not scanned, and whether anything crosses', async () => {
    // Nothing is seen of the mesial ball nearer than 0.8 mm to the axis: there the balls are 2 (R - sqrt(R^2 - 0.8^2))
    // farther apart, 0.161 mm. A lip of the scan may stand off the edge, across the design, as what was left of a web.
    const { restoration, scan } = ballScene(-0.02, 0.3);
    const { positions, triangles } = scan.mesh;
    const off = (f: number, axis: number) =>
      [0, 1, 2].reduce((sum, k) => sum + positions[3 * triangles[3 * f + k]! + axis]! / 3, 0);
    const kept = [...scan.labels.keys()].filter(
      (f) => scan.labels[f] !== 23 || off(f, 0) < -RADIUS - 1 || Math.hypot(off(f, 1), off(f, 2)) > 0.8,
    );
    const corners = kept.flatMap((f) => [...triangles.subarray(3 * f, 3 * f + 3)]);
    const sides = new Set(corners.map((v, i) => `${v} ${corners[i % 3 === 2 ? i - 2 : i + 1]}`));
    const [v, w] = [...sides]
      .map((side) => side.split(' ').map(Number) as [number, number])
      .find(
        ([a, b]) => !sides.has(`${b} ${a}`) && positions[3 * a]! > -RADIUS - 0.5 && positions[3 * a]! < 0,
      )!;
    const tip = [0, 1, 2].map(
      (k) => (positions[3 * v + k]! + positions[3 * w + k]!) / 2 + (k === 0 ? 0.4 : 0),
    );
    const holed = (withLip: boolean) => ({
      ...scan,
      mesh: {
        positions: Float32Array.from([...positions, ...tip]),
        triangles: Uint32Array.from(withLip ? [...corners, w, v, positions.length / 3] : corners),
      },
      labels: Uint8Array.from([...kept.map((f) => scan.labels[f]!), ...(withLip ? [23] : [])]),
    });
    const ringMm = 2 * (RADIUS - Math.sqrt(RADIUS ** 2 - 0.8 ** 2)) - 0.02;
    for (const withLip of [false, true]) {
      const [mesial] = await fitRestoration(restoration, 24, holed(withLip), TARGET);
      expect(mesial).toMatchObject({ status: 'not-measurable', space: null, deeperThanMm: null });
      expect(mesial!.atMostMm).toBeGreaterThan(ringMm - 0.02);
      expect(mesial!.atMostMm).toBeLessThan(ringMm + 0.1);
      expect(mesial!.notes).toEqual(['near-edge', ...(withLip ? ['crossing'] : [])]);
    }
  });

  it('gives an uncertainty that grows evenly with the overlap, whichever way it was measured', async () => {
    const u: number[] = [];
    for (const deepMm of [-0.3, -0.34, -0.38, -0.42]) u.push((await fitted(0.3, deepMm)).distal.space!.u95Mm);
    for (const value of u) expect(Math.abs(value - u[0]!)).toBeLessThan(0.0005);
  });

  it('finds the place: height below the occlusal plane and offset to cheek or lip, in either jaw', async () => {
    for (const [y, z] of [
      [0, 0],
      [0.5, 0],
      [-0.4, 0.3],
    ] as const) {
      const balls = ballScene(0.3, 0.3, [0, y, z]);
      // The middles of teeth are not those of their contacts: here they lie 0.6 mm towards the tongue.
      const centres = new Map(
        [...balls.scan.centres].map(([tooth, p]) => [tooth, [p[0], -0.6, p[2]] as Vec3]),
      );
      const upper = { ...balls, scan: { ...balls.scan, centres } };
      for (const { restoration, scan } of [upper, inLowerJaw(upper)]) {
        const sides = await fitRestoration(restoration, scan.jaw === 'upper' ? 24 : 34, scan, TARGET);
        for (const { space, heightMm, buccalMm, closingDirection, neighbour } of sides) {
          const centre = scan.centres.get(neighbour!)!;
          // The closest places of two balls lie on the line of their middles.
          const apart = Math.hypot(centre[0], y, z);
          expect(Math.abs(space!.valueMm - (apart - 2 * RADIUS))).toBeLessThan(0.01);
          const place: Vec3 = [centre[0] / 2, y / 2, z / 2];
          expect(Math.abs(heightMm! - (3 - z / 2))).toBeLessThan(0.015);
          // At right angles to the row, to the front: where lips are in both jaws.
          const [tx, ty] = closingDirection!;
          const across = ((place[1] - centre[1]) * tx - (place[0] - centre[0]) * ty) * Math.sign(tx);
          expect(across).toBeGreaterThan(0.1);
          expect(Math.abs(buccalMm! - across)).toBeLessThan(0.015);
        }
      }
    }
  });

  it('names the sides of a lower left tooth, and measures it as its mirror image in the upper jaw', async () => {
    const upper = ballScene(0.2, -0.25);
    const lower = inLowerJaw(upper);
    const above = await fitRestoration(upper.restoration, 24, upper.scan, TARGET);
    const below = await fitRestoration(lower.restoration, 34, lower.scan, TARGET);
    expect(below.map(({ side, neighbour, status }) => [side, neighbour, status])).toEqual([
      ['mesial', 33, 'open'],
      ['distal', 35, 'too-tight'],
    ]);
    for (const [k, side] of below.entries()) {
      const twin = above[k]!;
      expect(Math.abs(side.space!.valueMm - twin.space!.valueMm)).toBeLessThan(1e-4);
      expect(Math.abs(side.space!.u95Mm - twin.space!.u95Mm)).toBeLessThan(1e-4);
      expect(Math.abs(side.within50umMm2! - twin.within50umMm2!)).toBeLessThan(1e-3);
      expect(side.closingDirection![0]).toBeCloseTo(-twin.closingDirection![0], 6);
    }
  });

  it('gives the area of two overlapping balls within a distance', async () => {
    for (const overlapMm of [0.2, 0.9]) {
      const { distal, mesial } = await fitted(0.3, -overlapMm);
      expect(Math.abs(distal.within20umMm2! / capMm2(overlapMm, 0.02) - 1)).toBeLessThan(0.03);
      expect(Math.abs(distal.within50umMm2! / capMm2(overlapMm, 0.05) - 1)).toBeLessThan(0.03);
      expect(mesial.within50umMm2).toBe(0);
    }
  });

  it('takes the next tooth beyond an absent one for the neighbour, unless the gap is its site', async () => {
    const { restoration, scan } = ballScene(0.1, 0.1);
    const renamed = (from: number, to: number) => ({
      ...scan,
      labels: scan.labels.map((label) => (label === from ? to : label)),
      centres: new Map([...scan.centres].map(([tooth, at]) => [tooth === from ? to : tooth, at])),
    });
    const lost = { ...renamed(23, 22), missing: [23] };
    const [mesial] = await fitRestoration(restoration, 24, lost, TARGET);
    const [unsaid] = await fitRestoration(restoration, 24, renamed(23, 22), TARGET);
    expect(unsaid!.notes).toEqual(['not-clicked']);
    expect([mesial!.neighbour, mesial!.status]).toEqual([22, 'open']);
    expect(Math.abs(mesial!.space!.valueMm - 0.1)).toBeLessThan(0.01);
    expect(mesial!.notes).toContain('beyond-missing');
    const far = ballScene(4.5, 0.1);
    const site = {
      ...far.scan,
      labels: far.scan.labels.map((label) => (label === 23 ? 22 : label)),
      centres: new Map([...far.scan.centres].map(([tooth, at]) => [tooth === 23 ? 22 : tooth, at])),
    };
    const [absent] = await fitRestoration(far.restoration, 24, { ...site, missing: [23] }, TARGET);
    // Nobody said that 23 is absent: it may stand there, only nobody clicked it.
    const [unknown] = await fitRestoration(far.restoration, 24, site, TARGET);
    expect([unknown!.status, unknown!.notes]).toEqual(['not-measurable', ['not-clicked']]);
    expect([absent!.neighbour, absent!.status, absent!.notes]).toEqual([null, 'no-neighbour', ['site']]);
  });

  it('goes by the distance of the surfaces, not of the middles: large molars are not elsewhere', async () => {
    const radius = 6.05;
    const left = sphereMesh(radius, 5, [-2 * radius - 0.5, 0, 0]);
    const own = sphereMesh(radius, 5, [0, 0, 0]);
    const scan = {
      mesh: left,
      labels: new Uint8Array(left.triangles.length / 3).fill(36),
      jaw: 'lower' as const,
      frame: FRAME,
      centres: new Map<number, Vec3>([[36, [-2 * radius - 0.5, 0, 0]]]),
      missing: [],
    };
    const sides = await fitRestoration(own, 37, scan, TARGET);
    const near = sides.find(({ neighbour }) => neighbour === 36)!;
    expect(Math.abs(near.space!.valueMm - 0.5)).toBeLessThan(0.01);
  });

  it('counts the space from a narrow high spot of the design, not from the wall that smooths it', async () => {
    for (const [mm, heightMm, spreadMm] of [
      [0.08, 0.15, 0.25],
      [0.15, 0.25, 0.3],
      [0.3, 0.15, 0.25],
    ] as const) {
      const { scan } = ballScene(mm, 0.3);
      const restoration = sphereMesh(RADIUS, 6, [0, 0, 0]);
      const { positions } = restoration;
      for (let i = 0; i < positions.length; i += 3) {
        if (positions[i]! > 0) continue;
        const r = Math.hypot(positions[i + 1]!, positions[i + 2]!);
        positions[i]! -= heightMm * Math.exp((-r * r) / 2 / spreadMm ** 2);
      }
      const [mesial] = await fitRestoration(restoration, 24, scan, TARGET);
      expect(Math.abs(mesial!.space!.valueMm - (mm - heightMm))).toBeLessThan(0.012);
      expect(mesial!.notes).toContain('high-spot');
    }
    expect((await fitted(0.2, -0.1)).distal.notes).not.toContain('high-spot');
  });

  it('takes a crown that is open at its margin, and refuses one that is inside out or elsewhere', async () => {
    const { restoration, scan } = ballScene(0.1, -0.1);
    const open: number[] = [];
    for (let f = 0; f < restoration.triangles.length; f += 3) {
      const corners = restoration.triangles.subarray(f, f + 3);
      if ([...corners].every((v) => restoration.positions[3 * v + 2]! < -3)) continue;
      open.push(...corners);
    }
    const crown = { ...restoration, triangles: Uint32Array.from(open) };
    const [, distal] = await fitRestoration(crown, 24, scan, TARGET);
    expect(Math.abs(distal!.space!.valueMm + 0.1)).toBeLessThan(0.01);
    const turned = { ...restoration, triangles: restoration.triangles.slice().reverse() };
    expect(await codeOf(fitRestoration(turned, 24, scan, TARGET))).toBe('RESTORATION_INSIDE_OUT');
    const far = sphereMesh(RADIUS, 3, [0, 40, 0]);
    expect(await codeOf(fitRestoration(far, 24, scan, TARGET))).toBe('RESTORATION_ELSEWHERE');
    const onTop = sphereMesh(RADIUS, 3, [-2 * RADIUS, 0, 0.2]);
    expect(await codeOf(fitRestoration(onTop, 24, scan, TARGET))).toBe('RESTORATION_ELSEWHERE');
    const wrongSide = sphereMesh(RADIUS, 3, [-4 * RADIUS - 0.2, 0, 0]);
    expect(await codeOf(fitRestoration(wrongSide, 24, scan, TARGET))).toBe('RESTORATION_ELSEWHERE');
    // Between 25 and 26, yet called 24.
    const row = {
      ...scan,
      labels: scan.labels.map((label) => label + (label === 23 ? 2 : 1)),
      centres: new Map([...scan.centres].map(([tooth, at]) => [tooth + (tooth === 23 ? 2 : 1), at])),
    };
    expect(await codeOf(fitRestoration(restoration, 24, row, TARGET))).toBe('RESTORATION_ELSEWHERE');
    const nobody = { ...scan, centres: new Map() };
    expect(await codeOf(fitRestoration(restoration, 27, nobody, TARGET))).toBe('NO_NEIGHBOURS');
  });

  it('stops when it is told to', async () => {
    const { restoration, scan } = ballScene(0.1, 0.1);
    const stages: number[] = [];
    const control = {
      checkpoint: async (fraction: number) => {
        stages.push(fraction);
        if (fraction > 0.5) throw new Error('stopped');
      },
    };
    await expect(fitRestoration(restoration, 24, scan, TARGET, control)).rejects.toThrow('stopped');
    expect(stages.length).toBeGreaterThan(2);
  });
});
