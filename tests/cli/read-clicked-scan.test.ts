import { describe, expect, it } from 'vitest';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { readClickedScan } from '../../src/cli/measure-scan-file.ts';
import { UNATTENDED } from '../../src/geometry/job-control.ts';
import type { LengthUnit } from '../../src/scan/types.ts';
import { parseClickFile } from '../../src/teeth/clicks.ts';

/** A wavy sheet 5 wide with edges of 0.05: a crown in millimetres, an arch in centimetres. */
const SIDE = 100;
function sheet(): Uint8Array {
  const positions = new Float32Array(3 * (SIDE + 1) ** 2);
  const triangles: number[] = [];
  for (let v = 0, at = 0; v <= SIDE; v++)
    for (let u = 0; u <= SIDE; u++, at += 3)
      positions.set([0.05 * u, 0.05 * v, 0.3 * Math.sin(0.1 * u) * Math.cos(0.07 * v)], at);
  for (let v = 0; v < SIDE; v++)
    for (let u = 0; u < SIDE; u++) {
      const corner = v * (SIDE + 1) + u;
      const above = corner + SIDE + 1;
      triangles.push(corner, corner + 1, above, corner + 1, above + 1, above);
    }
  return writeBinaryStl({ positions, triangles: Uint32Array.from(triangles) });
}

const read = (clickUnit: string, unit: LengthUnit | null = null, point = [0, 0, 0]) =>
  readClickedScan(
    {
      fileName: 'sheet.stl',
      clicksName: 'sheet.json',
      file: sheet(),
      clicks: parseClickFile(
        JSON.stringify({
          jaw: 'upper',
          unit: clickUnit,
          clicks: [{ tooth: '11', point }],
          missing: [],
        }),
      ),
      unit,
    },
    UNATTENDED,
  );

describe('readClickedScan', () => {
  it('has the click file settle which of two units that fit is meant', async () => {
    for (const [unit, wideMm] of [
      ['mm', 5],
      ['cm', 50],
    ] as const) {
      const { scan, clicks } = await read(unit);
      expect(scan.source.unit.unit).toBe(unit);
      expect(scan.health.sizeMm[0]).toBeCloseTo(wideMm, 4);
      expect(clicks.clicks[0]!.point).toEqual([0, 0, 0]);
    }
  });

  it('takes no unit from the click file that makes no teeth: the two disagree', async () => {
    await expect(read('m')).rejects.toMatchObject({ code: 'UNIT_DISAGREES' });
  });

  it('has the user rule both', async () => {
    const { scan } = await read('mm', 'cm');
    expect(scan.source.unit).toMatchObject({ unit: 'cm', basis: 'user' });
  });

  it('names the click file whose click lies off the surface', async () => {
    await expect(read('mm', null, [0, 0, 9])).rejects.toMatchObject({
      code: 'CLICK_OFF_SURFACE',
      message: expect.stringMatching(
        /^"sheet.json": The click of tooth 11 at \(0.00, 0.00, 9.00\) lies more than/,
      ),
    });
  });
});
