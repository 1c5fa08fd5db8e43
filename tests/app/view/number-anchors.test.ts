// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { numberAnchors } from '../../../src/app/view/number-anchors.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import type { Jaw, OcclusalFrame, ToothRecord } from '../../../src/teeth/types.ts';

const record = (tooth: number, centre: Vec3): ToothRecord => ({
  tooth,
  centre,
  mesiodistalMm: null,
  buccolingualMm: null,
  crownHeightMm: null,
  areaMm2: 1,
  fixed: false,
});

/** Three crowns on a half circle of 20 mm in the plane z = 0, each a cloud of small triangles of 3 mm radius. */
function arch(teeth: readonly number[], front: 1 | -1) {
  const positions: number[] = [];
  const labels: number[] = [];
  const records = teeth.map((tooth, i) => {
    const angle = (Math.PI * (i + 0.5)) / teeth.length;
    // From the patient's right (file -x) over the front to the left (file +x).
    const centre: Vec3 = [-20 * Math.cos(angle), front * 20 * Math.sin(angle), 0];
    for (let k = 0; k < 60; k++) {
      const turn = (2 * Math.PI * k) / 60;
      const p = [centre[0] + 3 * Math.cos(turn), centre[1] + 3 * Math.sin(turn), (k % 7) / 7];
      positions.push(...p, p[0]! + 0.01, p[1]!, p[2]!, p[0]!, p[1]! + 0.01, p[2]!);
      labels.push(tooth);
    }
    return record(tooth, centre);
  });
  const triangles = Uint32Array.from({ length: labels.length * 3 }, (_, i) => i);
  return {
    records,
    mesh: { positions: Float32Array.from(positions), triangles },
    labels: Uint8Array.from(labels),
  };
}

const upper: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
const lower: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, -1] };

describe('numberAnchors', () => {
  it.each([
    ['upper', upper, [13, 11, 21, 23]],
    ['lower', lower, [43, 41, 31, 33]],
  ] as const)(
    'stands just outside every crown of an %s arch, on the outer side',
    (jaw: Jaw, frame, teeth) => {
      const { records, mesh, labels } = arch(teeth, 1);
      const anchors = numberAnchors(records, frame, jaw, mesh, labels);
      expect([...anchors.keys()]).toEqual([...teeth]);
      for (const { tooth, centre } of records) {
        const { at } = anchors.get(tooth)!;
        // 3 mm of crown and 1.6 mm of room, straight away from the middle of the circle or nearly so.
        const apart = Math.hypot(at[0] - centre[0], at[1] - centre[1], at[2] - centre[2]);
        expect(apart).toBeGreaterThan(4.4);
        expect(apart).toBeLessThan(4.7);
        expect(Math.hypot(at[0], at[1])).toBeGreaterThan(23.5);
      }
    },
  );

  it('takes samples from the crown itself, spread over it', () => {
    const { records, mesh, labels } = arch([12, 11, 21], 1);
    const { samples } = numberAnchors(records, upper, 'upper', mesh, labels).get(11)!;
    const centre = records[1]!.centre;
    expect(samples.length).toBeGreaterThanOrEqual(20);
    const sides = new Set(samples.map((p) => `${p[0] > centre[0]}${p[1] > centre[1]}`));
    expect(sides.size).toBe(4);
    for (const p of samples) expect(Math.hypot(p[0] - centre[0], p[1] - centre[1])).toBeCloseTo(3, 3);
  });

  it('looks at a part of a heavy scan, spread over every crown: numbers stand where they would stand of all', () => {
    const { records, mesh, labels } = arch([12, 11, 21], 1);
    const of = numberAnchors(records, upper, 'upper', mesh, labels);
    // Every triangle many times over, as of a scan so much finer: one in twenty-two is looked at.
    const times = 5000;
    const corners = mesh.triangles.length / labels.length;
    const triangles = new Uint32Array(corners * labels.length * times);
    const fine = new Uint8Array(labels.length * times);
    for (let t = 0; t < fine.length; t++) {
      const from = Math.floor(t / times);
      fine[t] = labels[from]!;
      triangles.set(mesh.triangles.subarray(corners * from, corners * (from + 1)), corners * t);
    }
    const heavy = numberAnchors(records, upper, 'upper', { ...mesh, triangles }, fine);
    for (const [tooth, { at, samples }] of of) {
      expect(heavy.get(tooth)!.at).toEqual(at);
      expect(new Set(heavy.get(tooth)!.samples.map(String)).size).toBeGreaterThanOrEqual(samples.length);
    }
  });
});
