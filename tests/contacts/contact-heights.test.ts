import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { measureCrowns } from '../../src/contacts/measure-crowns.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import { readLabelledCase, sharedDataPresent } from '../teeth/shared-scans.ts';

const crownFolder = fileURLToPath(
  new URL('../../../shared/data/synthetic/upper-three-spaces/crowns/', import.meta.url),
);

/** Height counts from the plane of the crowns' tops, whatever was clicked and whatever the mouth came as. */
describe.runIf(sharedDataPresent())('heights of the contacts of one mouth', () => {
  const scans: Analysis[] = [];
  let crowns: Analysis;
  beforeAll(async () => {
    const { scan, clicks } = readLabelledCase('synthetic/upper-three-spaces');
    const base = await prepareTeeth(scan);
    for (const set of clicks.values()) {
      scans.push(await measureContacts(scan, set, segmentTeeth(base, set), DEFAULT_MEASURE_SETTINGS));
    }
    const shells = [];
    for (const file of readdirSync(crownFolder)) {
      const shell = await readScan(readFileSync(`${crownFolder}${file}`), { fileName: file });
      shells.push({ tooth: Number.parseInt(file, 10), scan: shell });
    }
    crowns = await measureCrowns(shells, 'upper', DEFAULT_MEASURE_SETTINGS);
  }, 180_000);

  it('are below the occlusal plane and within the crowns', () => {
    for (const { contacts, teeth } of scans) {
      expect(contacts).toHaveLength(13);
      for (const { toothA, toothB, heightMm } of contacts) {
        expect(heightMm).toBeGreaterThan(0);
        const heights = teeth
          .filter(({ tooth }) => tooth === toothA || tooth === toothB)
          .map(({ crownHeightMm }) => crownHeightMm ?? Number.NaN);
        expect(heights).toHaveLength(2);
        for (const height of heights) expect(heightMm).toBeLessThan(height);
      }
    }
  });

  it('are the same for other clicks on the same teeth', () => {
    const [one, two] = scans as [Analysis, Analysis];
    one.contacts.forEach((contact, k) => {
      expect(Math.abs(contact.heightMm! - two.contacts[k]!.heightMm!)).toBeLessThan(0.1);
    });
  });

  it('are the same for the crowns as separate shells, where both are measured at the open place', () => {
    let compared = 0;
    for (const { toothA, toothB, gap, heightMm } of crowns.contacts) {
      const onScan = scans[0]!.contacts.find((c) => c.toothA === toothA && c.toothB === toothB);
      if (!gap || !onScan?.gap) continue;
      console.log(`${toothA}-${toothB}: scan ${onScan.heightMm?.toFixed(2)}, crowns ${heightMm?.toFixed(2)}`);
      expect(Math.abs(heightMm! - onScan.heightMm!)).toBeLessThan(0.5);
      compared++;
    }
    expect(compared).toBe(3);
  });
});
