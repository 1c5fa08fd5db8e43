import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { archIndices } from '../../src/contacts/arch-indices.ts';
import { prepareArchSurface } from '../../src/contacts/arch-surface.ts';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { measureCrowns } from '../../src/contacts/measure-crowns.ts';
import { sizeTeeth } from '../../src/contacts/size-teeth.ts';
import type { Analysis, Contact } from '../../src/contacts/types.ts';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { fitArchCurve } from '../../src/teeth/arch-curve.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';
import { readSyntheticCase, SYNTHETIC_CASES, syntheticDataPresent } from '../helpers/synthetic-case.ts';
import { scanOf } from '../teeth/shared-scans.ts';

describe('sizeTeeth on separate spheres', () => {
  it('gives their diameter along and across, and their outermost places', async () => {
    const edgeMm = 0.3;
    const crowns = await Promise.all(
      Object.entries(sphereCrownFiles(edgeMm)).map(async ([fileName, bytes]) => ({
        tooth: Number(fileName.slice(0, 2)),
        scan: await readScan(bytes, { fileName, unit: 'mm' }),
      })),
    );
    const { teeth } = await measureCrowns(crowns, 'upper', { limitMm: 0.1 });
    expect(teeth).toHaveLength(4);
    for (const record of teeth) {
      const source = crowns.find(({ tooth }) => tooth === record.tooth)!.scan;
      const [low, high] = [0, 1].map((side) =>
        source.positions.reduce(
          (most, value, i) =>
            i % 3 === 2 ? (side === 0 ? Math.min(most, value) : Math.max(most, value)) : most,
          side === 0 ? Number.POSITIVE_INFINITY : Number.NEGATIVE_INFINITY,
        ),
      );
      const diameter = high! - low!;
      // A paraboloid over 0.8 mm of a sphere, and facets whose corners lie on it.
      expect(Math.abs(record.mesiodistalMm! - diameter)).toBeLessThan(0.02);
      expect(Math.abs(record.buccolingualMm! - diameter)).toBeLessThan(0.1);
      expect(record.marks).toMatchObject({ rightSeen: true, leftSeen: true, cusp: null });
      const { right, left } = record.marks!;
      expect(Math.hypot(...right.map((x, k) => x - left[k]!))).toBeGreaterThan(diameter - 0.1);
      expect(Math.hypot(...right.map((x, k) => x - left[k]!))).toBeLessThan(diameter + 0.1);
    }
  });
});

interface TrueTooth {
  readonly iso: number;
  readonly true_mesiodistal_width_mm: number;
}

const folder = fileURLToPath(new URL('../../../shared/data/synthetic/', import.meta.url));

describe.runIf(syntheticDataPresent())('sizeTeeth on synthetic scans with their true labels', () => {
  const errors: { error: number; u95: number; hidden: number }[] = [];
  let first: Analysis | undefined;

  beforeAll(async () => {
    for (const name of SYNTHETIC_CASES) {
      const { mesh, labels, frame, clicks } = readSyntheticCase(name);
      const truth: TrueTooth[] = JSON.parse(readFileSync(`${folder}${name}/truth.json`, 'utf8')).teeth;
      const analysis = await measureContacts(
        scanOf(mesh),
        clicks,
        { labels, frame, warnings: [] },
        { limitMm: 0.1 },
      );
      first ??= analysis;
      for (const record of analysis.teeth) {
        const wide = truth.find(({ iso }) => iso === record.tooth)!.true_mesiodistal_width_mm;
        const hidden = [record.marks!.rightSeen, record.marks!.leftSeen].filter((seen) => !seen).length;
        errors.push({ error: record.mesiodistalMm! - wide, u95: record.sizesU95Mm!.mesiodistal!, hidden });
      }
    }
  }, 120_000);

  it('gives the true mesiodistal widths: unbiased, rms below 0.1 mm, inside the stated interval', () => {
    expect(errors).toHaveLength(56);
    const mean = errors.reduce((sum, { error }) => sum + error, 0) / errors.length;
    const rms = Math.sqrt(errors.reduce((sum, { error }) => sum + error * error, 0) / errors.length);
    expect(Math.abs(mean)).toBeLessThan(0.03);
    expect(rms).toBeLessThan(0.1);
    const held = errors.filter(({ error, u95 }) => Math.abs(error) <= u95).length;
    expect(held).toBeGreaterThanOrEqual(52);
  });

  it('does not carry a wall on behind a web beside which a space was measured', async () => {
    const { mesh, labels, frame, clicks } = readSyntheticCase(SYNTHETIC_CASES[0]!);
    const records = first!.teeth;
    const centres = new Map(records.map(({ tooth, centre }) => [tooth, centre]));
    const curve = fitArchCurve(frame, [...centres.values()]);
    const arch = { mesh, labels, jaw: clicks.jaw, frame, curve, centres };
    const surface = prepareArchSurface(mesh, labels);
    const bridged = first!.contacts.filter(({ bridge }) => bridge === 'full');
    const { gap } = first!.contacts.find((contact) => contact.gap !== null)!;
    const size = (contacts: readonly Contact[]) => sizeTeeth(arch, surface, records, contacts, UNATTENDED);
    const touching = await size(bridged);
    expect(touching).toEqual(await size([]));
    const apart = await size(bridged.map((contact) => ({ ...contact, gap })));
    const less = touching.map(({ mesiodistalMm }, k) => mesiodistalMm! - apart[k]!.mesiodistalMm!);
    for (const mm of less) expect(mm).toBeGreaterThanOrEqual(0);
    expect(less.filter((mm) => mm > 0.02).length).toBeGreaterThan(3);
    // What a web hides may lie farther out than what is seen: U stays that of a hidden side.
    expect(apart.map(({ sizesU95Mm }) => sizesU95Mm!.mesiodistal! > 0.12)).not.toContain(false);
    expect(apart.map(({ marks }) => marks!.leftSeen)).toEqual(touching.map(({ marks }) => marks!.leftSeen));
  });

  it('finds the distance of the canines’ true tips, and the canine and molar cusps', () => {
    const index = archIndices(first!).find(({ code }) => code === 'intercanine-width')!;
    // Between the highest points of the true crowns 13 and 23 of this scan, in the occlusal plane.
    const tips = [13, 23].map((tooth) =>
      highest(`${folder}${SYNTHETIC_CASES[0]}/crowns/${tooth}.stl`, first!),
    );
    const { x, y } = first!.frame;
    const [p, q] = tips as [number[], number[]];
    const flat = [x, y].map((axis) => axis.reduce((sum, c, k) => sum + c * (p[k]! - q[k]!), 0));
    expect(Math.abs(index.valueMm! - Math.hypot(...flat))).toBeLessThan(index.u95Mm!);
  });
});

/** The corner of a binary STL that lies highest along the occlusal axis. */
function highest(path: string, { frame }: Analysis): number[] {
  const bytes = readFileSync(path);
  let best: number[] = [];
  let top = Number.NEGATIVE_INFINITY;
  for (let t = 0; t < bytes.readUInt32LE(80); t++) {
    for (let k = 0; k < 3; k++) {
      const p = [0, 1, 2].map((c) => bytes.readFloatLE(84 + 50 * t + 12 + 12 * k + 4 * c));
      const height = p.reduce((sum, value, c) => sum + value * frame.z[c]!, 0);
      if (height <= top) continue;
      top = height;
      best = p;
    }
  }
  return best;
}
