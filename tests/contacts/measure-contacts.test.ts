import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { contactWithLimit, withLimit } from '../../src/contacts/decide.ts';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { MOST_SPACE_MM } from '../../src/contacts/scanner-profile.ts';
import { DEFAULT_MEASURE_SETTINGS, UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import type { Analysis, Contact } from '../../src/contacts/types.ts';
import { ArchgapError, cancelledError } from '../../src/geometry/archgap-error.ts';
import type { JobControl } from '../../src/geometry/job-control.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { scanWarnings } from '../../src/scan/scan-warnings.ts';
import type { Scan } from '../../src/scan/types.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ClickSet, Segmentation } from '../../src/teeth/types.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';
import {
  readSyntheticCase,
  SYNTHETIC_CASES,
  syntheticDataPresent,
  type TruePair,
} from '../helpers/synthetic-case.ts';

const folder = fileURLToPath(new URL('../../../shared/data/synthetic/', import.meta.url));

interface Case {
  readonly scan: Scan;
  readonly clicks: ClickSet;
  readonly segmentation: Segmentation;
}

/** The whole way: bytes, clicks, segmentation. */
async function load(name: string): Promise<Case> {
  const scan = await readScan(readFileSync(`${folder}${name}/scan.ply`), { fileName: 'scan.ply' });
  const file = parseClickFile(readFileSync(`${folder}${name}/clicks.json`, 'utf8'));
  const clicks = snapClicks(scan, clicksToScanFrame(file, scan));
  return { scan, clicks, segmentation: segmentTeeth(await prepareTeeth(scan), clicks) };
}

const loaded = new Map<string, Promise<{ case: Case; analysis: Analysis }>>();

function measured(name: string): Promise<{ case: Case; analysis: Analysis }> {
  const before = loaded.get(name);
  if (before !== undefined) return before;
  const now = load(name).then(async (c) => ({
    case: c,
    analysis: await measureContacts(c.scan, c.clicks, c.segmentation, DEFAULT_MEASURE_SETTINGS),
  }));
  loaded.set(name, now);
  return now;
}

function truthOf(pairs: readonly TruePair[], contact: Contact): TruePair {
  const { toothA, toothB } = contact;
  return pairs.find((p) => (p.a === toothA && p.b === toothB) || (p.a === toothB && p.b === toothA))!;
}

describe.runIf(syntheticDataPresent())('from file and clicks to contacts, own segmentation', () => {
  it('wrong decisions: none; closed contacts: all bridged, bounded; open ones: inside their interval', async () => {
    const errors: number[] = [];
    for (const name of SYNTHETIC_CASES) {
      const { pairs } = readSyntheticCase(name);
      const { analysis } = await measured(name);
      expect(analysis.contacts).toHaveLength(13);
      for (const contact of analysis.contacts) {
        const truth = truthOf(pairs, contact);
        for (const limit of [0.05, 0.1, 0.2]) {
          const { status } = contactWithLimit(contact, limit);
          if (status === 'open') expect(truth.true_gap_mm).toBeGreaterThan(limit);
          if (status === 'closed') expect(truth.true_gap_mm).toBeLessThan(limit);
        }
        if (truth.state === 'closed') expect(contact).toMatchObject({ gap: null, bridge: 'full' });
        if (truth.state === 'open') expect(contact.status).toBe('open');
        if (contact.upperBoundMm !== null) expect(contact.upperBoundMm).toBeGreaterThan(truth.true_gap_mm);
        if (contact.gap === null) continue;
        const error = contact.gap.valueMm - truth.true_gap_mm;
        expect(Math.abs(error)).toBeLessThan(1.5 * contact.gap.u95Mm);
        errors.push(error);
      }
    }
    expect(errors.length).toBeGreaterThanOrEqual(7);
    const bias = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    console.log(
      `own segmentation: ${errors.length} spaces, bias ${(1000 * bias).toFixed(1)} um, rms ${(1000 * rms).toFixed(1)} um`,
    );
    expect(Math.abs(bias)).toBeLessThan(0.006);
    expect(rms).toBeLessThan(0.016);
  });

  it('cut into crowns along its teeth before it was exported: measured as if it had not been', async () => {
    const { analysis, case: whole } = await measured('upper-three-spaces');
    const { positions, triangles } = whole.scan;
    const corners = new Float32Array(3 * triangles.length);
    // Every crown a few micrometres off, as numbers are rounded: no corner of it is one of its neighbour's any more.
    triangles.forEach((v, i) => {
      const offMm = 0.0002 * whole.segmentation.labels[Math.floor(i / 3)]!;
      for (let c = 0; c < 3; c++) corners[3 * i + c] = positions[3 * v + c]! + offMm;
    });
    const scan = makeScanFromArrays(
      corners,
      Uint32Array.from(triangles, (_, i) => i),
    );
    expect(scanWarnings(scan.health).map(({ code }) => code)).toEqual(['SEAMS_JOINED']);
    expect(scan.health.components).toBe(whole.scan.health.components);
    const segmentation = segmentTeeth(await prepareTeeth(scan), whole.clicks);
    const cut = await measureContacts(scan, whole.clicks, segmentation, DEFAULT_MEASURE_SETTINGS);
    cut.contacts.forEach((contact, k) => {
      const before = analysis.contacts[k]!;
      expect(contact).toMatchObject({ status: before.status, bridge: before.bridge });
      expect(Math.abs((contact.gap?.valueMm ?? 0) - (before.gap?.valueMm ?? 0))).toBeLessThan(0.005);
      expect(Math.abs((contact.upperBoundMm ?? 0) - (before.upperBoundMm ?? 0))).toBeLessThan(0.02);
    });
  });

  it('the record holds what table, plot and plan read, as plain data', async () => {
    const { analysis, case: c } = await measured('upper-three-spaces');
    expect(analysis).toMatchObject({ kind: 'scan', jaw: 'upper', fileUnit: 'mm', missing: [] });
    expect(analysis.sources).toEqual([c.scan.source]);
    expect(analysis.teeth.map((record) => record.tooth)).toEqual([
      17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27,
    ]);
    expect(analysis.archCurve.length).toBeGreaterThan(10);
    expect(structuredClone(analysis)).toEqual(analysis);
    const loose = withLimit(analysis, 0.4);
    expect(loose.settings.limitMm).toBe(0.4);
    expect(loose.contacts.filter((contact) => contact.status === 'open')).toHaveLength(1);
    expect(analysis.contacts.filter((contact) => contact.status === 'open')).toHaveLength(3);
  });

  it('another limit gives the same record whether measured or decided anew', async () => {
    const { case: c, analysis } = await measured('upper-three-spaces');
    for (const limitMm of [0.25, 0.51]) {
      const again = await measureContacts(c.scan, c.clicks, c.segmentation, { limitMm });
      expect(withLimit(analysis, limitMm)).toEqual(again);
    }
  });

  it('a wider scanner profile widens the intervals', async () => {
    const { case: c, analysis } = await measured('upper-three-spaces');
    const rough = {
      name: 'rough',
      wavinessMm: 0.015,
      scaleShare: 0.01,
      systematicHalfWidthMm: 0.05,
      systematicBelowMm: 1,
      noBridgeGapMm: 0.3,
    };
    const again = await measureContacts(c.scan, c.clicks, c.segmentation, { limitMm: 0.1, scanner: rough });
    analysis.contacts.forEach((contact, i) => {
      const other = again.contacts[i]!;
      expect(other.gap?.valueMm).toBe(contact.gap?.valueMm);
      if (contact.gap !== null) expect(other.gap!.u95Mm).toBeGreaterThan(1.5 * contact.gap.u95Mm);
      if (contact.upperBoundMm !== null) expect(other.upperBoundMm).toBeLessThanOrEqual(0.3);
    });
  });

  it('reports how far it is and stops when told to', async () => {
    const { case: c } = await measured('upper-three-spaces');
    const seen: number[] = [];
    const watching: JobControl = {
      checkpoint: async (fraction) => {
        seen.push(fraction);
      },
    };
    await measureContacts(c.scan, c.clicks, c.segmentation, DEFAULT_MEASURE_SETTINGS, watching);
    expect(seen.length).toBeGreaterThan(13);
    expect([...seen].sort((a, b) => a - b)).toEqual(seen);
    expect(seen.every((fraction) => fraction >= 0 && fraction <= 1)).toBe(true);
    const stopping: JobControl = {
      checkpoint: async (fraction) => {
        if (fraction > 0.5) throw cancelledError();
      },
    };
    await expect(
      measureContacts(c.scan, c.clicks, c.segmentation, DEFAULT_MEASURE_SETTINGS, stopping),
    ).rejects.toMatchObject({ code: 'CANCELLED' });
  });

  it('refuses a limit that is none, and a scan with one tooth', async () => {
    const { case: c } = await measured('upper-three-spaces');
    const fails = async (segmentation: Segmentation, limitMm: number) => {
      try {
        await measureContacts(c.scan, c.clicks, segmentation, { limitMm });
        return 'none';
      } catch (error) {
        return error instanceof ArchgapError ? error.code : 'other';
      }
    };
    expect(await fails(c.segmentation, -0.1)).toBe('LIMIT_OUT_OF_RANGE');
    const one = { ...c.segmentation, labels: c.segmentation.labels.map((l) => (l === 11 ? 11 : 0)) };
    expect(await fails(one, 0.1)).toBe('ONE_TOOTH');
  });
});

const realArch = fileURLToPath(new URL('../../../shared/data/real/arch-upper/', import.meta.url));
const realArchPresent = existsSync(`${realArch}scan.stl`);
if (!realArchPresent)
  console.warn('../shared/data/real/arch-upper is absent: the test on a real scan does not run');

describe.runIf(realArchPresent)('a real scan of teeth that all touch', () => {
  it('is bridged at every contact, and no limit makes an unseen bound a closed contact', async () => {
    const scan = await readScan(readFileSync(`${realArch}scan.stl`), { fileName: 'scan.stl' });
    const file = parseClickFile(readFileSync(`${realArch}clicks.json`, 'utf8'));
    const clicks = snapClicks(scan, clicksToScanFrame(file, scan));
    const segmentation = segmentTeeth(await prepareTeeth(scan), clicks);
    const analysis = await measureContacts(scan, clicks, segmentation, DEFAULT_MEASURE_SETTINGS);
    expect(analysis.contacts.map((contact) => contact.status)).toEqual(Array(13).fill('bridged'));
    const assumed = analysis.contacts.filter((contact) => contact.notes.includes('bound-scanner'));
    expect(assumed.length).toBeGreaterThan(5);
    for (const contact of analysis.contacts) {
      const { status } = contactWithLimit(contact, 0.51);
      expect(status).toBe(assumed.includes(contact) ? 'bridged' : 'closed');
      if (!assumed.includes(contact)) expect(contact.upperBoundMm).toBeLessThan(0.5);
    }
    // Of a scanner of which nobody knows what it never bridges, no bound rests on that.
    const scanner = { ...UNCALIBRATED_SCANNER, noBridgeGapMm: MOST_SPACE_MM };
    const unknown = await measureContacts(scan, clicks, segmentation, { limitMm: 0.1, scanner });
    unknown.contacts.forEach(({ upperBoundMm, notes }, k) => {
      const before = analysis.contacts[k]!;
      if (!assumed.includes(before)) expect(upperBoundMm).toBe(before.upperBoundMm);
      else if (notes.includes('no-bound')) expect(upperBoundMm).toBeNull();
      // Its rim was too wide for the bound to count, and is all there is now.
      else expect(upperBoundMm).toBeGreaterThan(0.5);
      expect(notes).not.toContain('bound-scanner');
      expect(upperBoundMm ?? 0).toBeLessThan(MOST_SPACE_MM);
    });
  });
});
