import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import Papa from 'papaparse';
import { beforeAll, describe, expect, it } from 'vitest';
import type { SyntheticArch } from '../../fixtures/make-arch.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { earlierArch, laterArch } from '../helpers/earlier-later.ts';
import { type MemoryWorld, makeMemoryWorld } from '../helpers/memory-io.ts';
import { joined } from '../helpers/scan-files.ts';

const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(
  JSON.parse(readFileSync(new URL('../../docs/schemas/archgap-compare-1.json', import.meta.url), 'utf8')),
);

let later: SyntheticArch;
let world: MemoryWorld;
const text = (path: string) => new TextDecoder().decode(world.files.get(path));
const rowsOf = (path: string) =>
  Papa.parse<Record<string, string>>(text(path).trimEnd(), { header: true }).data;
const within = (row: Record<string, string>, value: string, u: string, truth: number) =>
  expect(Math.abs(Number(row[value]) - truth)).toBeLessThanOrEqual(Number(row[u]));

beforeAll(async () => {
  const earlier = earlierArch();
  later = laterArch();
  // Teeth of another shape: longer and flatter ones.
  const other = { ...later, positions: later.positions.map((x, i) => (i % 3 === 2 ? 0.5 * x : 1.2 * x)) };
  world = makeMemoryWorld({
    'scan.ply': writePly(earlier),
    'clicks.json': JSON.stringify(earlier.clicks),
    // Five bytes too many.
    'later.ply': joined(writePly(later), new Uint8Array(5)),
    'later.json': JSON.stringify(later.clicks),
    'other.ply': writePly(other),
  });
  expect(await runCli(['measure', 'scan.ply', '--clicks', 'clicks.json', '--out', 'before'], world.io)).toBe(
    0,
  );
}, 120_000);

describe('archgap compare', () => {
  it('needs no click, in any pose, and finds what changed within its intervals', async () => {
    const status = await runCli(['compare', 'before', 'later.ply', '--out', 'after'], world.io);
    expect([status, world.stderr()]).toEqual([0, '']);
    expect(world.stdout()).toContain('Note TRAILING_BYTES: New scan: 5 bytes after the end');
    expect(JSON.parse(text('/here/after/compare.json')).warnings[0]).toMatchObject({
      code: 'TRAILING_BYTES',
    });
    expect(text('/here/after/report.html')).toContain('New scan: 5 bytes after the end');
    const rows = rowsOf('/here/after/compare.csv');
    expect(rows.map((row) => `${row.tooth_a}-${row.tooth_b} ${row.change}`)).toEqual([
      '12-11 newly-open',
      '11-21 partly-closed',
      '21-22 unchanged',
    ]);
    const [opened, narrowed, touching] = rows as [
      Record<string, string>,
      Record<string, string>,
      Record<string, string>,
    ];
    within(narrowed, 'change_mm', 'change_u95_mm', -0.25);
    within(narrowed, 'approach_mm', 'approach_u95_mm', -0.25);
    within(opened, 'approach_mm', 'approach_u95_mm', 0.37);
    // The web of the earlier scan hid 0.08 mm; the walls of the new one and the crowns' motion tell it.
    expect(opened.carried_scan).toBe('earlier');
    within(opened, 'carried_gap_mm', 'carried_u95_mm', 0.08);
    expect(opened.change_mm).toBe('');
    within(touching, 'approach_mm', 'approach_u95_mm', 0);
    expect(Number(opened.change_least_mm)).toBeLessThanOrEqual(0.37);
    expect(Number(opened.change_most_mm)).toBeGreaterThanOrEqual(0.37);
  });

  it('asks for the unit where two would fit, and goes by what is said', async () => {
    // The size of a crown in millimetres, of an arch in centimetres.
    const small = { ...later, positions: later.positions.map((x) => x / 6) };
    world.files.set('/here/small.ply', writePly(small));
    const asked = ['compare', 'before', 'small.ply', '--out', 'small'];
    expect(await runCli(asked, world.io)).toBe(3);
    expect(world.stderr()).toMatch(
      /UNIT_NOT_SAID: "small.ply": Taken as .* would be possible too; .* Say --unit, or give --clicks/,
    );
    // Teeth of 1.7 times the size are others.
    expect(await runCli([...asked, '--unit', 'cm'], world.io)).toBe(3);
    expect(world.stderr()).toContain('SCANS_DO_NOT_MATCH');
    expect(world.files.has('/here/small/compare.csv')).toBe(false);
  });

  it('writes a JSON after its schema, the files of the new scan, and a record that names both scans', () => {
    const document = JSON.parse(text('/here/after/compare.json'));
    expect(validate(document), JSON.stringify(validate.errors)).toBe(true);
    expect(document.alignment.recognised).toBe(4);
    expect(document.plan_read).toBe(false);
    for (const name of ['contacts.csv', 'teeth.csv', 'result.json', 'labelled.ply', 'clicks.json']) {
      expect(world.files.has(`/here/after/${name}`)).toBe(true);
    }
    const report = text('/here/after/report.html');
    expect(report).toContain('scan.ply to later.ply');
    expect(report).toContain('4 of 4 teeth recognised');
    expect(report).not.toMatch(/NaN|undefined|\[object/);
  });

  it('gives clicks that measure takes for the new scan, with the same spaces', async () => {
    const argv = ['measure', 'later.ply', '--clicks', 'after/clicks.json', '--out', 'again'];
    expect(await runCli(argv, world.io)).toBe(0);
    expect(text('/here/again/contacts.csv')).toBe(text('/here/after/contacts.csv'));
  });

  it('holds the changes against the plan of the folder', async () => {
    expect(await runCli(['plan', 'before/result.json', '--out', 'before'], world.io)).toBe(0);
    const plan = JSON.parse(text('/here/before/plan.json'));
    expect(plan.proposal).not.toBeNull();
    expect(await runCli(['compare', 'before', 'later.ply', '--out', 'planned'], world.io)).toBe(0);
    const rows = rowsOf('/here/planned/compare.csv');
    const row = rows.find((one) => one.tooth_a === '11')!;
    const span = plan.spans.find(
      (one: { from: string; to: string }) => one.from === plan.proposal.from && one.to === plan.proposal.to,
    );
    const planned = span.contacts.find((one: { a: string }) => one.a === '11');
    expect(Number(row.planned_mm)).toBeCloseTo(planned.after_max_stages_mm ?? planned.after_mm, 4);
    expect(row.plan_standing).toBe('short-of-plan');
    const asked = planned.before_mm - Number(row.planned_mm);
    expect(Number(row.expressed_share)).toBeCloseTo(-Number(row.change_mm) / asked, 2);
    world.files.delete('/here/before/plan.json');
  });

  it('uses no plan that was made for another scan, and says so', async () => {
    const foreign = {
      schema: 'archgap-plan/1',
      sources: [{ sha256: '0'.repeat(64) }],
      proposal: null,
      spans: [],
    };
    world.files.set('/here/before/plan.json', new TextEncoder().encode(JSON.stringify(foreign)));
    expect(await runCli(['compare', 'before', 'later.ply', '--out', 'foreign'], world.io)).toBe(0);
    expect(world.stdout()).toContain('PLAN_OF_ANOTHER_SCAN');
    world.files.set('/here/before/plan.json', new TextEncoder().encode('{"schema":"archgap-plan/1"}'));
    expect(await runCli(['compare', 'before', 'later.ply', '--out', 'wrong'], world.io)).toBe(3);
    expect(world.stderr()).toContain('PLAN_INVALID');
    expect(world.files.has('/here/wrong/compare.csv')).toBe(false);
    world.files.delete('/here/before/plan.json');
  });

  it('takes a result as the page names it, with the files of its name, and no other', async () => {
    for (const name of ['result.json', 'labelled.ply']) {
      world.files.set(`/here/saved/scan-upper-${name}`, world.files.get(`/here/before/${name}`)!);
      world.files.set(`/here/saved/scan-lower-${name}`, new TextEncoder().encode('of the other arch'));
    }
    const asked = ['compare', 'saved/scan-upper-result.json', 'later.ply'];
    expect(await runCli([...asked, '--out', 'of-saved'], world.io)).toBe(0);
    expect(text('/here/of-saved/compare.csv')).toBe(text('/here/after/compare.csv'));
    expect(await runCli([...asked, '--out', 'saved'], world.io)).toBe(2);
    expect(world.stderr()).toContain('OUT_IS_EARLIER');
    world.files.delete('/here/saved/scan-upper-labelled.ply');
    world.files.set('/here/saved/labelled.ply', world.files.get('/here/before/labelled.ply')!);
    expect(await runCli([...asked, '--out', 'none'], world.io)).toBe(3);
    expect(world.stderr()).toContain('There is no file "saved/scan-upper-labelled.ply"');
  });

  it('uses no plan of other clicks on the same scan, and says so', async () => {
    expect(await runCli(['plan', 'before/result.json', '--out', 'before'], world.io)).toBe(0);
    const plan = JSON.parse(text('/here/before/plan.json'));
    for (const span of plan.spans) {
      span.contacts.find((one: { a: string }) => one.a === '11').before_mm += 0.01;
    }
    world.files.set('/here/before/plan.json', new TextEncoder().encode(JSON.stringify(plan)));
    expect(await runCli(['compare', 'before', 'later.ply', '--out', 'other-plan'], world.io)).toBe(0);
    expect(world.stdout()).toContain('PLAN_OF_ANOTHER_MEASUREMENT');
    const row = rowsOf('/here/other-plan/compare.csv').find((one) => one.tooth_a === '11')!;
    expect(row.planned_mm).toBe('');
    world.files.delete('/here/before/plan.json');
  });

  it('refuses other teeth; with clicks of its own it goes on and says what it could not check', async () => {
    expect(await runCli(['compare', 'before', 'other.ply', '--out', 'other'], world.io)).toBe(3);
    expect(world.stderr()).toContain('SCANS_DO_NOT_MATCH');
    expect([...world.files.keys()].some((path) => path.startsWith('/here/other/'))).toBe(false);
    const argv = ['compare', 'before', 'later.ply', '--clicks', 'later.json', '--out', 'clicked'];
    expect(await runCli(argv, world.io)).toBe(0);
    const row = rowsOf('/here/clicked/compare.csv').find((one) => one.tooth_a === '11')!;
    within(row, 'change_mm', 'change_u95_mm', -0.25);
  });

  it('a tooth that is clicked on one of the two scans only is told', async () => {
    const { clicks, ...rest } = later.clicks;
    const without = { ...rest, clicks: clicks.filter(({ tooth }) => tooth !== '22') };
    world.files.set('/here/fewer.json', new TextEncoder().encode(JSON.stringify(without)));
    const argv = ['compare', 'before', 'later.ply', '--clicks', 'fewer.json', '--out', 'fewer'];
    expect(await runCli(argv, world.io)).toBe(0);
    expect(world.stdout()).toContain(
      'Note CLICKED_ON_EARLIER_ONLY: Tooth 22 is clicked on the earlier scan and neither clicked nor marked missing on the new one',
    );
    expect(text('/here/fewer/report.html')).toContain('Tooth 22 is clicked on the earlier scan');
  });

  it('crowns that bear other numbers than on the earlier scan are told', async () => {
    // As where a lateral incisor is taken for absent.
    const clicks = later.clicks.clicks.map((click) =>
      click.tooth === '12' ? { ...click, tooth: '13' } : click,
    );
    const renumbered = { ...later.clicks, clicks, missing: ['12'] };
    world.files.set('/here/one-off.json', new TextEncoder().encode(JSON.stringify(renumbered)));
    const argv = ['compare', 'before', 'later.ply', '--clicks', 'one-off.json', '--out', 'one-off'];
    expect(await runCli(argv, world.io)).toBe(0);
    expect(world.stdout()).toMatch(
      /Note NUMBERED_OTHERWISE: .* on the new one: 12 is 13 there\. Contacts are /,
    );
    expect(text('/here/one-off/report.html')).toContain('12 is 13 there');
  });

  it('takes the folder into which the page saved one result, and tells where there are two', async () => {
    for (const name of ['result.json', 'labelled.ply'])
      world.files.set(`/here/lone/scan-upper-${name}`, world.files.get(`/here/before/${name}`)!);
    world.folders.add('/here/lone');
    expect(await runCli(['compare', 'lone', 'later.ply', '--out', 'of-lone'], world.io)).toBe(0);
    expect(text('/here/of-lone/compare.csv')).toBe(text('/here/after/compare.csv'));
    world.files.set('/here/lone/scan-lower-result.json', new Uint8Array());
    expect(await runCli(['compare', 'lone', 'later.ply', '--out', 'of-two'], world.io)).toBe(3);
    expect(world.stderr()).toContain('EARLIER_AMBIGUOUS');
    expect(world.folders.has('/here/of-two')).toBe(false);
  });

  it('refuses folders that hold no earlier case, and to write into that of the earlier one', async () => {
    expect(await runCli(['compare', 'nowhere', 'later.ply', '--out', 'o'], world.io)).toBe(3);
    expect(world.stderr()).toContain('FILE_NOT_FOUND');
    expect(await runCli(['compare', 'before', 'later.ply', '--out', 'before'], world.io)).toBe(2);
    expect(world.stderr()).toContain('OUT_IS_EARLIER');
  });
});
