import Papa from 'papaparse';
import { beforeAll, describe, expect, it } from 'vitest';
import type { SyntheticArch } from '../../fixtures/make-arch.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { smallArch } from '../helpers/small-arch.ts';

/** Four upper incisors of the project's own generator: 12-11 0.08 (bridged), 11-21 0.50 (open), 21-22 closed. */
let arch: SyntheticArch;
beforeAll(() => {
  arch = smallArch();
}, 120_000);

/** The arch in another unit: `perMm` of its numbers make a millimetre. */
function files(perMm: number, unit: string, format: 'ply' | 'stl'): Record<string, string | Uint8Array> {
  const mesh = { positions: arch.positions.map((value) => value * perMm), triangles: arch.triangles };
  const clicks = arch.clicks.clicks.map(({ tooth, point }) => ({
    tooth,
    point: point.map((value) => value * perMm),
  }));
  return {
    [`scan.${format}`]: format === 'ply' ? writePly(mesh) : writeBinaryStl(mesh),
    'clicks.json': JSON.stringify({ ...arch.clicks, unit, clicks }),
  };
}

async function measured(content: Record<string, string | Uint8Array>, ...more: string[]) {
  const world = makeMemoryWorld(content);
  const scan = Object.keys(content)[0]!;
  const status = await runCli(['measure', scan, '--clicks', 'clicks.json', '--out', 'o', ...more], world.io);
  const csv = new TextDecoder().decode(world.files.get('/here/o/contacts.csv'));
  const rows = Papa.parse<Record<string, string>>(csv.trimEnd(), { header: true }).data;
  return { world, status, rows };
}

describe('archgap measure with a scan and clicks', () => {
  it('finds what the generator put there, and gives no number where the scanner bridged', async () => {
    const { world, status, rows } = await measured(files(1, 'mm', 'ply'));
    expect([status, world.stderr()]).toEqual([0, '']);
    expect(rows.map((row) => `${row.tooth_a}-${row.tooth_b} ${row.status}`)).toEqual([
      '12-11 bridged',
      '11-21 open',
      '21-22 bridged',
    ]);
    const [bridged, open] = rows;
    expect(Math.abs(Number(open!.gap_mm) - 0.5)).toBeLessThanOrEqual(Number(open!.gap_u95_mm));
    expect([bridged!.gap_mm, bridged!.nearest_mm, bridged!.clearance_mm]).toEqual(['', '', '']);
    expect(Number(bridged!.upper_bound_mm)).toBeGreaterThanOrEqual(0.08);
  });

  it('gives the same spaces for the same teeth in centimetres, inches and STL', async () => {
    const [first, cm, inch] = await Promise.all([
      measured(files(1, 'mm', 'stl')),
      measured(files(0.1, 'cm', 'ply')),
      measured(files(1 / 25.4, 'in', 'stl'), '--unit', 'in'),
    ]);
    for (const other of [cm, inch]) {
      expect(other.world.stderr()).toBe('');
      expect(other.rows.map((row) => row.status)).toEqual(first.rows.map((row) => row.status));
      for (const column of ['gap_mm', 'nearest_mm', 'ax', 'bz']) {
        // 32-bit floats in another unit differ by less than 10 nm; the fit may amplify that a little.
        expect(Number(other.rows[1]![column])).toBeCloseTo(Number(first.rows[1]![column]), 3);
      }
    }
  });

  it('gives the same contacts for a scan whose triangles face inwards, and says that it turned them', async () => {
    const turned = { positions: arch.positions, triangles: arch.triangles.slice() };
    for (let i = 0; i < turned.triangles.length; i += 3) {
      turned.triangles[i + 1] = arch.triangles[i + 2]!;
      turned.triangles[i + 2] = arch.triangles[i + 1]!;
    }
    const right = await measured(files(1, 'mm', 'stl'));
    const back = await measured({ ...files(1, 'mm', 'stl'), 'scan.stl': writeBinaryStl(turned) });
    expect([right.status, back.status]).toEqual([0, 0]);
    expect(right.world.stdout()).not.toContain('TURNED_OVER');
    expect(back.world.stdout()).toContain('Note TURNED_OVER: The triangles of the file face inwards');
    expect(back.world.stdout()).toContain('A mirrored file looks so, too, and has right and left exchanged');
    const said = (rows: Record<string, string>[]) =>
      rows.map((row) => `${row.tooth_a}-${row.tooth_b} ${row.status} ${Number(row.gap_mm).toFixed(3)}`);
    expect(said(back.rows)).toEqual(said(right.rows));
  });

  it('blames a stated unit that makes no teeth before anything that does not fit because of it', async () => {
    const { world, status } = await measured(files(1, 'm', 'ply'), '--unit', 'm');
    expect(status).toBe(3);
    expect(world.stderr()).toMatch(
      /^archgap: UNIT_IMPLAUSIBLE: You set the unit to metres: the scan is \d+ mm across\. That is not the size of teeth \(3 to 130 mm\); in millimetres it would be [\d.]+ mm across\. Check the unit\.\n$/,
    );
  });

  it('refuses clicks in another unit than the scan', async () => {
    const content = files(1, 'cm', 'ply');
    const { world, status } = await measured(content);
    expect(status).toBe(3);
    expect(world.stderr()).toMatch(
      /^archgap: UNIT_DISAGREES: The click file says cm, the scan mm\. [^\n]+\n$/,
    );
    expect([...world.files.keys()]).toHaveLength(2);
  });

  it('refuses a click away from the surface, and says which', async () => {
    const content = files(1, 'mm', 'ply');
    const clicks = JSON.parse(content['clicks.json'] as string);
    clicks.clicks[1].point[2] += 30;
    const { world, status } = await measured({ ...content, 'clicks.json': JSON.stringify(clicks) });
    expect(status).toBe(3);
    expect(world.stderr()).toMatch(/^archgap: CLICK_OFF_SURFACE: [^\n]*tooth 11[^\n]*\n$/);
  });

  it('says when a tooth was neither clicked nor called missing', async () => {
    const content = files(1, 'mm', 'ply');
    const clicks = JSON.parse(content['clicks.json'] as string);
    clicks.clicks.splice(2, 1);
    const { world, status, rows } = await measured({ ...content, 'clicks.json': JSON.stringify(clicks) });
    expect(status).toBe(0);
    expect(rows.map((row) => `${row.tooth_a}-${row.tooth_b} ${row.status}`)).toContain('11-22 missing-tooth');
    expect(world.stdout()).toContain('Note TOOTH_WITHOUT_CLICK: tooth 21 has no click');
    expect(rows.find((row) => row.tooth_a === '11')?.note).toBe('not-clicked');
    expect(await runCli(['plan', 'o/result.json', '--out', 'plan'], world.io)).toBe(0);
    const text = (name: string) => new TextDecoder().decode(world.files.get(`/here/${name}`));
    const plan = JSON.parse(text('plan/plan.json'));
    expect(plan.reasons[1]).toEqual({
      code: 'TOOTH_NOT_CLICKED',
      sentence:
        '21 has no click and is not marked missing: 11-22 is taken for an empty site, and the plan counts no contact of that tooth. Click it, or mark it missing, before anything is ordered.',
    });
    expect(text('plan/note.txt')).toContain('- 11-22 not clicked, no number\n');
    for (const name of ['plan/note.txt', 'o/report.html']) {
      expect(text(name)).toContain('21 has no click and is not marked missing');
      expect(text(name)).not.toContain('missing tooth, no tooth');
    }
  });
});
