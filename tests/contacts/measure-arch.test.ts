import { describe, expect, it } from 'vitest';
import { contactWithLimit } from '../../src/contacts/decide.ts';
import { type LabelledArch, measureArch } from '../../src/contacts/measure-arch.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import type { Contact } from '../../src/contacts/types.ts';
import { combineStandard } from '../../src/contacts/uncertainty.ts';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import { distance } from '../../src/geometry/vec3.ts';
import {
  readSyntheticCase,
  SYNTHETIC_CASES,
  type SyntheticCase,
  syntheticDataPresent,
  type TruePair,
} from '../helpers/synthetic-case.ts';

interface Judged {
  readonly truth: TruePair;
  readonly contact: Contact;
}

const known = new Map<string, Promise<Judged[]>>();

function archOf(c: SyntheticCase): LabelledArch {
  const centres = new Map(c.teeth.map((tooth, i) => [tooth, c.curve.values[i]!] as const));
  return { mesh: c.mesh, labels: c.labels, jaw: c.jaw, frame: c.frame, curve: c.curve, centres };
}

/**
 * The same arch on a coarse mesh: vertices of one cell of `cellMm` become one; labels stay with their triangles. The
 * teeth of the patient's left are first moved `apartMm` away from those of the right.
 */
function coarsened(c: SyntheticCase, cellMm: number, apartMm: number): SyntheticCase {
  const { triangles } = c.mesh;
  const positions = c.mesh.positions.slice();
  const left = new Set<number>();
  c.labels.forEach((label, t) => {
    if (label > 20 && label < 40) for (let k = 0; k < 3; k += 1) left.add(triangles[3 * t + k]!);
  });
  for (const v of left) for (let k = 0; k < 3; k += 1) positions[3 * v + k]! += apartMm * c.frame.x[k]!;
  const cells = new Map<string, number>();
  const kept: number[] = [];
  const cellOf = Array.from({ length: positions.length / 3 }, (_, v) => {
    const p = positions.subarray(3 * v, 3 * v + 3);
    const key = [...p].map((x) => Math.floor(x / cellMm)).join(' ');
    const known = cells.get(key);
    if (known !== undefined) return known;
    cells.set(key, cells.size);
    kept.push(...p);
    return cells.size - 1;
  });
  const corners: number[] = [];
  const labels: number[] = [];
  c.labels.forEach((label, t) => {
    const [i, j, k] = [0, 1, 2].map((n) => cellOf[triangles[3 * t + n]!]!) as [number, number, number];
    if (i === j || j === k || k === i) return;
    corners.push(i, j, k);
    labels.push(label);
  });
  const mesh = { positions: Float32Array.from(kept), triangles: Uint32Array.from(corners) };
  return { ...c, mesh, labels: Uint8Array.from(labels) };
}

async function judge(name: (typeof SYNTHETIC_CASES)[number]): Promise<Judged[]> {
  const c = readSyntheticCase(name);
  const contacts = await measureArch(archOf(c), DEFAULT_MEASURE_SETTINGS, UNATTENDED);
  return contacts.map((contact) => {
    const { toothA, toothB } = contact;
    const truth = c.pairs.find(
      (pair) => (pair.a === toothA && pair.b === toothB) || (pair.a === toothB && pair.b === toothA),
    );
    if (truth === undefined) throw new Error(`no truth for ${toothA}-${toothB}`);
    return { truth, contact };
  });
}

function judged(name: (typeof SYNTHETIC_CASES)[number]): Promise<Judged[]> {
  const before = known.get(name);
  if (before !== undefined) return before;
  const now = judge(name);
  known.set(name, now);
  return now;
}

async function all(): Promise<Judged[]> {
  return (await Promise.all(SYNTHETIC_CASES.map(judged))).flat();
}

describe.runIf(syntheticDataPresent())('contacts of synthetic scans with known spaces, true labels', () => {
  it('finds all 13 contacts of each arch in order from the right', async () => {
    for (const name of SYNTHETIC_CASES) {
      const pairs = (await judged(name)).map(({ contact }) => [contact.toothA, contact.toothB]);
      expect(pairs).toHaveLength(13);
      for (let i = 1; i < 13; i += 1) expect(pairs[i]![0]).toBe(pairs[i - 1]![1]);
    }
  });

  it('never gives a number to a closed or bridged contact; its bound holds', async () => {
    const hidden = (await all()).filter(({ truth }) => truth.state === 'closed' || truth.state === 'bridged');
    expect(hidden.length).toBeGreaterThan(40);
    for (const { truth, contact } of hidden) {
      expect(contact.gap).toBeNull();
      expect(contact.nearestMm).toBeNull();
      expect(contact.clearanceMm).toBeNull();
      expect(contact.bridge).not.toBe('none');
      expect(contact.upperBoundMm).toBeGreaterThan(truth.true_gap_mm);
      expect(contact.upperBoundMm).toBeLessThanOrEqual(0.5);
      expect(contact.pointA).toEqual(contact.pointB);
      expect(distance(contact.pointA!, truth.witness_a)).toBeLessThan(1.5);
    }
  });

  it('measures open contacts with small errors inside honest intervals', async () => {
    const measured = (await all()).filter(({ contact }) => contact.gap !== null);
    expect(measured.length).toBeGreaterThanOrEqual(6);
    const errors = measured.map(({ truth, contact }) => {
      const { valueMm, u95Mm, terms } = contact.gap!;
      const error = valueMm - truth.true_gap_mm;
      // the standing promise: never more than three standard uncertainties away
      expect(Math.abs(error)).toBeLessThan((3 / 2) * u95Mm);
      expect(u95Mm).toBeCloseTo(2 * combineStandard(terms.map((term) => term.standardMm)), 12);
      expect(u95Mm).toBeGreaterThan(0.015);
      // what the gum may hide comes on top where the walls run into it side by side
      expect(u95Mm).toBeLessThan(0.06);
      const seen = terms.filter((term) => term.name !== 'gum').map((term) => term.standardMm);
      expect(2 * combineStandard(seen)).toBeLessThan(0.05);
      expect(contact.clearanceMm).toBeGreaterThan(valueMm - u95Mm);
      return error;
    });
    const bias = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    const covered = measured.filter(
      ({ truth, contact }) => Math.abs(contact.gap!.valueMm - truth.true_gap_mm) <= contact.gap!.u95Mm,
    ).length;
    console.log(
      `open contacts ${errors.length}: bias ${(1000 * bias).toFixed(1)} um, rms ${(1000 * rms).toFixed(1)} um, covered ${covered}`,
    );
    // 7.0 and 14.7 um on six contacts; docs/validation.md says why true labels do no better than found ones here.
    expect(Math.abs(bias)).toBeLessThan(0.008);
    expect(rms).toBeLessThan(0.016);
    expect(covered).toBe(errors.length);
  });

  it('decides nothing wrongly at limits 0.05, 0.1 and 0.2', async () => {
    let decided = 0;
    for (const { truth, contact } of await all()) {
      for (const limit of [0.05, 0.1, 0.2]) {
        const { status } = contactWithLimit(contact, limit);
        if (status === 'open') expect(truth.true_gap_mm).toBeGreaterThan(limit);
        if (status === 'closed') expect(truth.true_gap_mm).toBeLessThan(limit);
        expect(status).not.toBe('overlap');
        if (status === 'open' || status === 'closed') decided += 1;
      }
    }
    expect(decided).toBeGreaterThan(15);
  });

  it('calls the three spaces of the first case open', async () => {
    const open = (await judged('upper-three-spaces')).filter(({ contact }) => contact.status === 'open');
    expect(open.map(({ contact }) => `${contact.toothA}-${contact.toothB}`)).toEqual([
      '13-12',
      '11-21',
      '23-24',
    ]);
    for (const { truth, contact } of open) {
      expect(distance(contact.pointA!, contact.pointB!)).toBeCloseTo(contact.gap!.valueMm, 1);
      expect(
        Math.min(distance(contact.pointA!, truth.witness_a), distance(contact.pointA!, truth.witness_b)),
      ).toBeLessThan(1);
      expect(contact.heightMm).toBeGreaterThan(-5);
    }
  });

  it('marks the site of a tooth that is not there', async () => {
    const arch = archOf(readSyntheticCase('upper-three-spaces'));
    const centres = new Map([...arch.centres].filter(([tooth]) => tooth !== 14));
    const contacts = await measureArch({ ...arch, centres }, DEFAULT_MEASURE_SETTINGS, UNATTENDED);
    expect(contacts).toHaveLength(12);
    const site = contacts.find((contact) => contact.toothA === 15)!;
    expect(site).toMatchObject({
      toothB: 13,
      status: 'missing-tooth',
      gap: null,
      nearestMm: null,
      bridge: 'none',
    });
  });
});

describe.runIf(syntheticDataPresent())('another limit', () => {
  it.each(SYNTHETIC_CASES)('%s: deciding anew gives what measuring gives, fine and coarse', async (name) => {
    const c = readSyntheticCase(name);
    const limits = [0, 0.1, 0.3, 0.51, 5];
    const coarse = new Set<string>();
    for (const arch of [c, coarsened(c, 0.45, 0), coarsened(c, 0.45, 3.5)].map(archOf)) {
      const measured: Contact[][] = [];
      for (const limitMm of limits) measured.push(await measureArch(arch, { limitMm }, UNATTENDED));
      for (const from of measured) {
        for (const { coarseEdgeMm, status } of from) if (coarseEdgeMm !== undefined) coarse.add(status);
        limits.forEach((limitMm, k) => {
          expect(from.map((contact) => contactWithLimit(contact, limitMm))).toEqual(measured[k]);
        });
      }
    }
    // a coarse space that is open at one limit and has only a bound at another
    if (name === 'upper-three-spaces')
      expect([...coarse]).toEqual(expect.arrayContaining(['not-measurable', 'open']));
  });
});
