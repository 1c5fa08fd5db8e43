import Papa from 'papaparse';
import { beforeAll, describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { readResultJson } from '../../src/report/read-result-json.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { SPHERE_SPACES_MM, sphereCrownFiles, sphereSlackMm } from '../helpers/sphere-crowns.ts';

const EDGE_MM = 0.3;
const CROWNS = ['22', '11', '12', '21'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);
const text = (bytes: Uint8Array | undefined) => new TextDecoder().decode(bytes);

/** A binary STL that has one triangle less: no longer closed. */
function withoutLastTriangle(stl: Uint8Array): Uint8Array {
  const open = stl.slice(0, -50);
  const view = new DataView(open.buffer);
  view.setUint32(80, view.getUint32(80, true) - 1, true);
  return open;
}

describe('archgap measure with separate crowns', () => {
  const world = makeMemoryWorld(sphereCrownFiles(EDGE_MM));
  let status = -1;
  let rows: Record<string, string>[] = [];

  beforeAll(async () => {
    status = await runCli(['measure', ...CROWNS, '--jaw', 'upper', '--out', 'out/run'], world.io);
    const csv = text(world.files.get('/here/out/run/contacts.csv'));
    rows = Papa.parse<Record<string, string>>(csv.trimEnd(), { header: true }).data;
  }, 120_000);

  it('writes the five files and nothing else', () => {
    expect(world.stderr()).toBe('');
    expect(status).toBe(0);
    expect([...world.files.keys()].filter((path) => path.startsWith('/here/out')).sort()).toEqual([
      '/here/out/run/contacts.csv',
      '/here/out/run/labelled.ply',
      '/here/out/run/report.html',
      '/here/out/run/result.json',
      '/here/out/run/teeth.csv',
    ]);
  });

  it('measures the known spaces of spheres within what their triangles allow', () => {
    const pairs = Object.entries(SPHERE_SPACES_MM);
    expect(rows.map((row) => `${row.tooth_a}-${row.tooth_b}`)).toEqual(pairs.map(([pair]) => pair));
    for (const [k, [, truth]] of pairs.entries()) {
      const nearest = Number(rows[k]!.nearest_mm);
      // 1e-4: the table is rounded to four decimals, the STL to 32-bit floats.
      expect(nearest).toBeGreaterThanOrEqual(truth - 1e-4);
      expect(nearest).toBeLessThanOrEqual(truth + sphereSlackMm(EDGE_MM) + 1e-4);
    }
    expect(rows.map((row) => row.status)).toEqual(['open', 'open', 'closed']);
  });

  it('names the files of each pair, whatever order the crowns came in', () => {
    expect(rows.map((row) => row.scan)).toEqual(['12.stl + 11.stl', '11.stl + 21.stl', '21.stl + 22.stl']);
  });

  it('labels every triangle of every crown', () => {
    const ply = world.files.get('/here/out/run/labelled.ply')!;
    const header = text(ply.slice(0, 400));
    const faces = Number(/element face (\d+)/.exec(header)![1]);
    const teeth = new Set<number>();
    for (let face = 0; face < faces; face++) teeth.add(ply[ply.length - 14 * face - 1]!);
    expect([...teeth].sort()).toEqual([11, 12, 21, 22]);
  });

  it('draws the cut and both walls of every contact into the record', () => {
    const html = text(world.files.get('/here/out/run/report.html'));
    expect(html.match(/<figure class="cut with-walls">/g)).toHaveLength(3);
    expect(html.match(/<svg class="cm"/g)).toHaveLength(6);
    expect(html).not.toMatch(/NaN|undefined|\[object/);
  });

  it('says what it found and where it put it', () => {
    expect(world.stdout()).toMatch(/^2 of 3 contacts are open: 12-11 and 11-21\.\n/);
    expect(world.stdout()).toContain('out/run');
  });

  it('leaves a result that plan reads', async () => {
    const analysis = readResultJson(text(world.files.get('/here/out/run/result.json')));
    expect(analysis.kind).toBe('crowns');
    const planned = await runCli(['plan', 'out/run/result.json', '--out', 'planned'], world.io);
    expect(planned).toBe(0);
    expect(world.files.has('/here/planned/plan.json')).toBe(true);
  });
});

describe('archgap measure, other ways to say it', () => {
  it('takes the limit and the numbering', async () => {
    const files = sphereCrownFiles(EDGE_MM);
    const world = makeMemoryWorld({ ...files, '12.stl': withoutLastTriangle(files['12.stl']!) });
    const argv = [
      'measure',
      ...CROWNS,
      '--jaw',
      'upper',
      '--out',
      'o',
      '--limit',
      '0.4',
      '--numbering',
      'universal',
    ];
    expect(await runCli(argv, world.io)).toBe(0);
    expect(world.stdout()).toMatch(/^1 of 3 contacts is open: 8-9\.\n/);
    const csv = text(world.files.get('/here/o/contacts.csv'));
    expect(csv).toContain('11.stl + 21.stl,upper,11,21,open');
    // A warning names its teeth by that numbering, too, and files by their own names.
    const warning = 'The crowns of 7 are not closed;';
    expect(world.stdout()).toContain(warning);
    expect(text(world.files.get('/here/o/report.html'))).toContain(warning);
    expect(readResultJson(text(world.files.get('/here/o/result.json'))).warnings).toContainEqual(
      expect.objectContaining({ code: 'CROWN_NOT_CLOSED', teeth: [12] }),
    );
  });
});
