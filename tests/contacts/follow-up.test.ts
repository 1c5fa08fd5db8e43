import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { type EarlierCase, measureFollowUp } from '../../src/contacts/follow-up.ts';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { ArchgapError } from '../../src/geometry/archgap-error.ts';
import { movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import type { Scan } from '../../src/scan/types.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import { syntheticDataPresent } from '../helpers/synthetic-case.ts';

const folder = new URL('../../../shared/data/', import.meta.url);
const file = (path: string) => readFileSync(new URL(path, folder));
const read = (path: string) => readScan(file(path), { fileName: 'scan', unit: null });
const SETTINGS = { limitMm: 0.1 };

/** True changes: spaces of truth.json of the follow-up less those of the first case. */
function trueChanges(): Map<string, number> {
  const pairs = (name: string): { a: number; b: number; true_gap_mm: number }[] =>
    JSON.parse(file(`synthetic/${name}/truth.json`).toString()).pairs;
  const before = pairs('upper-three-spaces');
  return new Map(
    pairs('upper-follow-up').map(({ a, b, true_gap_mm }, k) => [
      `${a}-${b}`,
      true_gap_mm - before[k]!.true_gap_mm,
    ]),
  );
}

/** The part of a scan that `wanted` says, by the middle of each triangle; in another pose. */
function part(scan: Scan, wanted: (x: number, y: number, z: number) => boolean): Scan {
  const kept: number[] = [];
  for (let t = 0; t < scan.triangles.length; t += 3) {
    const v = 3 * scan.triangles[t]!;
    if (wanted(scan.positions[v]!, scan.positions[v + 1]!, scan.positions[v + 2]!)) {
      kept.push(...scan.triangles.subarray(t, t + 3));
    }
  }
  const pose = rotationAbout([0, 0, 0], [1, -0.4, 0.2], 1.9, [10, 20, -30]);
  return { ...scan, positions: movePositions(pose, scan.positions), triangles: Uint32Array.from(kept) };
}

describe.runIf(syntheticDataPresent())('measureFollowUp on the shared scans', () => {
  let earlier: EarlierCase;
  let later: Scan;
  beforeAll(async () => {
    const scan = await read('synthetic/upper-three-spaces/scan.ply');
    const clickFile = parseClickFile(file('synthetic/upper-three-spaces/clicks.json').toString());
    const clicks = snapClicks(scan, clicksToScanFrame(clickFile, scan));
    const segmentation = segmentTeeth(await prepareTeeth(scan), clicks);
    const analysis = await measureContacts(scan, clicks, segmentation, SETTINGS);
    earlier = { analysis, mesh: scan, labels: segmentation.labels, planned: [] };
    later = await read('synthetic/upper-follow-up/scan.ply');
  }, 60_000);

  it('needs no click and finds every change within its interval, hidden ones too', async () => {
    const { changes, alignment, warnings } = await measureFollowUp(earlier, later, null, SETTINGS);
    expect(warnings).toEqual([]);
    expect(alignment!.teeth.map(({ sighting }) => sighting)).toEqual(Array(14).fill('recognised'));
    const truth = trueChanges();
    expect(changes).toHaveLength(13);
    for (const { toothA, toothB, change, rangeMm, approach } of changes) {
      const expected = truth.get(`${toothA}-${toothB}`)!;
      expect(rangeMm![0]).toBeLessThanOrEqual(expected);
      expect(rangeMm![1]).toBeGreaterThanOrEqual(expected);
      expect(Math.abs(approach!.valueMm - expected)).toBeLessThanOrEqual(approach!.u95Mm);
      if (change) expect(Math.abs(change.valueMm - expected)).toBeLessThanOrEqual(change.u95Mm);
    }
    const told = changes.filter(({ kind }) => kind !== 'unchanged');
    expect(told.map(({ toothA, toothB, kind }) => `${toothA}-${toothB} ${kind}`)).toEqual([
      '13-12 to-check',
      '11-21 to-check',
      '23-24 partly-closed',
    ]);
    const hidden = told[0]!.carried!;
    expect(Math.abs(hidden.space.valueMm - 0.05)).toBeLessThanOrEqual(hidden.space.u95Mm);
  });

  it('finds the part of the arch that a partial scan shows, in another pose', async () => {
    const truth = JSON.parse(file('synthetic/upper-follow-up/truth.json').toString());
    const centre = (iso: number): [number, number, number] =>
      truth.teeth.find((tooth: { iso: number }) => tooth.iso === iso).centre;
    const [from, right, left] = [centre(12), centre(17), centre(27)];
    // The patient's left of tooth 12.
    const side = (p: readonly number[]): number =>
      p.reduce((sum, x, k) => sum + (x - from[k]!) * (left[k]! - right[k]!), 0);
    const half = part(later, (x, y, z) => side([x, y, z]) > 0);
    const { changes, alignment, warnings } = await measureFollowUp(earlier, half, null, SETTINGS);
    const seen = alignment!.teeth.filter(({ sighting }) => sighting === 'recognised');
    expect(seen.map(({ tooth }) => tooth)).toEqual(expect.arrayContaining([22, 23, 24, 25, 26, 27]));
    expect(seen.map(({ tooth }) => tooth)).not.toContain(16);
    expect(warnings.map(({ code }) => code)).toContain('TOOTH_NOT_SEEN');
    const narrowed = changes.find(({ toothA }) => toothA === 23)!;
    expect(Math.abs(narrowed.change!.valueMm + 0.3)).toBeLessThanOrEqual(narrowed.change!.u95Mm);
    expect(changes.find(({ toothA }) => toothA === 16)!.kind).toBe('not-comparable');
  });

  it.each(['synthetic/lower-all-closed/scan.ply', 'real/arch-upper/scan.stl'])(
    'refuses %s: other teeth',
    async (path) => {
      const fault = await measureFollowUp(earlier, await read(path), null, SETTINGS).catch((error) => error);
      expect(fault).toBeInstanceOf(ArchgapError);
      expect(fault.code).toBe('SCANS_DO_NOT_MATCH');
    },
  );
});
