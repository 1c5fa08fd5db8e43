// @vitest-environment node
import { expect, it } from 'vitest';
import { readScan } from '../../../src/scan/read-scan.ts';
import { clicksToScanFrame, snapClicks } from '../../../src/teeth/clicks.ts';
import { rehearsalClicks, rehearsalSheet } from '../../../workers/rehearsal-sheet.ts';

it('is a scan without a fault, in millimetres, with the clicks on the tops of its bumps', async () => {
  const scan = await readScan(rehearsalSheet(), { fileName: 'rehearsal.stl' });
  expect(scan.health).toMatchObject({ triangles: 7200, components: 1 });
  expect(scan.positions).toHaveLength(3 * 61 * 61);
  expect(scan.source.unit).toMatchObject({ unit: 'mm', sure: true });
  const given = clicksToScanFrame(rehearsalClicks(), scan);
  const { clicks } = snapClicks(scan, given);
  const off = clicks.map(({ point }, k) =>
    Math.hypot(...point.map((v, a) => v - given.clicks[k]!.point[a]!)),
  );
  expect(Math.max(...off)).toBeLessThan(0.05);
});
