import { zipSync } from 'fflate';
import { beforeAll, describe, expect, it } from 'vitest';
import { writePly } from '../../fixtures/write-ply.ts';
import type { CaseArch, CaseContent } from '../../src/casefile/types.ts';
import { writeCaseFile } from '../../src/casefile/write-case-file.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { writeScannerProfile } from '../../src/contacts/scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import { makeCaseArch, makeOtherArch } from '../casefile/make-case.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { smallArch } from '../helpers/small-arch.ts';

const OPTIONS = { version: '1.2.3', savedAt: '2026-01-05T10:00:00.000Z' };

/** Four upper incisors of the project's own generator, as the page would save them. */
let upper: CaseArch;
let loose: Record<string, string | Uint8Array>;
beforeAll(async () => {
  const arch = smallArch();
  const bytes = writePly(arch);
  const scan = await readScan(bytes, { fileName: 'front.ply', unit: null });
  const { jaw, clicks, missing, fixed } = snapClicks(
    scan,
    clicksToScanFrame(parseClickFile(JSON.stringify({ ...arch.clicks, unit: 'mm' })), scan),
  );
  const { inputs } = makeCaseArch();
  upper = {
    fileName: 'front.ply',
    bytes,
    unit: null,
    originMm: scan.originMm,
    inputs: { ...inputs, jaw, clicks, missing, fixed, floss: [], limitMm: 0.1 },
  };
  loose = { 'front.ply': bytes, 'clicks.json': JSON.stringify({ ...arch.clicks, unit: 'mm' }) };
}, 120_000);

const caseOf = (...arches: [CaseArch] | [CaseArch, CaseArch]): CaseContent => ({ demo: false, arches });
const text = (bytes: Uint8Array | undefined) => new TextDecoder().decode(bytes);

async function run(files: Record<string, string | Uint8Array>, ...words: string[]) {
  const world = makeMemoryWorld(files);
  const status = await runCli(words, world.io);
  return {
    world,
    status,
    names: [...world.files.keys()].filter((name) => name.startsWith('/here/o')).sort(),
  };
}

describe('archgap measure with a case file', () => {
  it('measures as the scan and the clicks would, and plans with the settings and the note of the case', async () => {
    const bytes = await writeCaseFile(caseOf(upper), OPTIONS);
    const fromCase = await run({ 'case.zip': bytes }, 'measure', 'case.zip', '--out', 'o');
    const fromFiles = await run(loose, 'measure', 'front.ply', '--clicks', 'clicks.json', '--out', 'o');
    expect([fromCase.status, fromCase.world.stderr()]).toEqual([0, '']);
    expect(fromCase.names.map((name) => name.slice('/here/o/'.length))).toEqual([
      'contacts.csv',
      'labelled.ply',
      'note.txt',
      'plan.csv',
      'plan.json',
      'report.html',
      'result.json',
      'teeth.csv',
    ]);
    for (const name of ['contacts.csv', 'teeth.csv', 'result.json', 'labelled.ply']) {
      const [one, other] = [fromCase, fromFiles].map(({ world }) => world.files.get(`/here/o/${name}`));
      expect(text(one), name).toBe(text(other));
    }
    expect(text(fromCase.world.files.get('/here/o/note.txt'))).toBe(upper.inputs.note?.text);
    const plan = JSON.parse(text(fromCase.world.files.get('/here/o/plan.json')));
    expect(plan.settings).toMatchObject({ max_stages: 2, expression: 0.7 });
  });

  it('puts two clicked arches into a folder each, and takes each for the other’s opposing arch', async () => {
    // The same teeth again as the lower ones: where they stand does not matter here.
    const lower: CaseArch = {
      ...upper,
      fileName: 'lower.ply',
      inputs: {
        ...upper.inputs,
        jaw: 'lower',
        clicks: upper.inputs.clicks.map((click) =>
          click.tooth === 'gum'
            ? click
            : { ...click, tooth: click.tooth < 20 ? click.tooth + 30 : click.tooth + 10 },
        ),
      },
    };
    const bytes = await writeCaseFile(caseOf(upper, lower), OPTIONS);
    const { status, names, world } = await run({ 'case.zip': bytes }, 'measure', 'case.zip', '--out', 'o');
    expect([status, world.stderr()]).toEqual([0, '']);
    expect(names.filter((name) => name.endsWith('plan.json'))).toEqual([
      '/here/o/lower/plan.json',
      '/here/o/upper/plan.json',
    ]);
    expect(world.stdout()).toMatch(/to o\/lower$/m);
    expect(text(world.files.get('/here/o/upper/plan.json'))).toContain('lower.ply');

    // Measured as opposing arches, so their widths count as in `plan --opposing-result`.
    const other = await run(
      Object.fromEntries(
        ['upper', 'lower'].flatMap((jaw) =>
          ['result.json', 'labelled.ply'].map((name) => [
            `${jaw}/${name}`,
            world.files.get(`/here/o/${jaw}/${name}`) ?? '',
          ]),
        ),
      ),
      ...['plan', 'upper/result.json', '--opposing-result', 'lower/result.json', '--out', 'o'],
    );
    expect([other.status, other.world.stderr()]).toEqual([0, '']);
    const sizesIn = (given: Uint8Array | undefined) =>
      JSON.parse(text(given)).reasons.filter(({ code }: { code: string }) => code.startsWith('SIZE'));
    expect(sizesIn(world.files.get('/here/o/upper/plan.json'))).toEqual(
      sizesIn(other.world.files.get('/here/o/plan.json')),
    );
  });

  it('measures with the scanner of the case, unless another one is named', async () => {
    const scanner = { ...UNCALIBRATED_SCANNER, name: 'chair 2', wavinessMm: 0.02 };
    const kept = { ...upper, inputs: { ...upper.inputs, scanner, scannerTakenOver: true as const } };
    const bytes = await writeCaseFile(caseOf(kept), OPTIONS);
    const files = { 'case.zip': bytes, 'other.json': writeScannerProfile({ ...scanner, name: 'chair 3' }) };
    const settingsIn = async (...more: string[]) => {
      const { world } = await run(files, 'measure', 'case.zip', '--out', 'o', ...more);
      return JSON.parse(text(world.files.get('/here/o/result.json'))).settings;
    };
    const said = await settingsIn();
    expect(said).toMatchObject({
      scanner: { name: 'chair 2', waviness_mm: 0.02 },
      scanner_taken_over: true,
    });
    // Naming a scanner says that the scan was made with it.
    const named = await settingsIn('--scanner', 'other.json');
    expect(named.scanner).toMatchObject({ name: 'chair 3' });
    expect(named).not.toHaveProperty('scanner_taken_over');
  });

  it('opens an encrypted case with the passphrase of a file only', async () => {
    const bytes = await writeCaseFile(caseOf(upper), { ...OPTIONS, passphrase: 'a space of 0.3 mm' });
    const files = { 'case.zip': bytes, right: 'a space of 0.3 mm\n', wrong: 'a space of 0.4 mm\n' };
    const without = await run(files, 'measure', 'case.zip', '--out', 'o');
    expect(without.status).toBe(3);
    expect(without.world.stderr()).toMatch(/^archgap: CASE_FILE_SEALED: .*--passphrase-file.*\n$/);
    const wrong = await run(files, 'measure', 'case.zip', '--out', 'o', '--passphrase-file', 'wrong');
    expect(wrong.status).toBe(3);
    expect(wrong.world.stderr()).toMatch(/^archgap: CASE_FILE_PASSPHRASE: /);
    expect(wrong.names).toEqual([]);
    const right = await run(files, 'inspect', 'case.zip', '--passphrase-file', 'right');
    expect([right.status, right.world.stderr()]).toEqual([0, '']);
    expect(right.world.stdout()).toContain('upper: front.ply');
  });

  it.each([
    ['--clicks', 'clicks.json'],
    ['--unit', 'mm'],
    ['--jaw', 'upper'],
  ])('refuses %s: the case says it', async (option, value) => {
    const bytes = await writeCaseFile(caseOf(upper), OPTIONS);
    const { status, world } = await run(
      { 'case.zip': bytes },
      'measure',
      'case.zip',
      '--out',
      'o',
      option,
      value,
    );
    expect(status).toBe(2);
    expect(world.stderr()).toMatch(/^archgap: CASE_SAYS_IT: /);
  });

  it.each([
    ['inspect', 'case.zip', ['--unit', 'mm'], 'CASE_SAYS_IT'],
    ['inspect', 'front.ply', ['--passphrase-file', 'clicks.json'], 'PASSPHRASE_WITHOUT_CASE'],
    [
      'measure',
      null,
      [
        '--crown',
        '11=front.ply',
        '--crown',
        '21=front.ply',
        '--jaw',
        'upper',
        '--out',
        'o',
        '--passphrase-file',
        'x',
      ],
      'PASSPHRASE_WITHOUT_CASE',
    ],
  ])('refuses what %s of %s could not heed: %j', async (command, file, options, code) => {
    const files = { ...loose, 'case.zip': await writeCaseFile(caseOf(upper), OPTIONS) };
    const { status, world } = await run(files, command, ...(file === null ? [] : [file]), ...options);
    expect([status, world.stderr().split(': ')[1]]).toEqual([2, code]);
  });

  it('says when nothing is clicked, when the file is cut, and when the zip is another', async () => {
    const bare = await writeCaseFile(caseOf(makeOtherArch()), OPTIONS);
    const files = {
      'bare.zip': bare,
      'cut.zip': bare.slice(0, bare.length - 40),
      'scan.zip': zipSync({ 'scan.stl': new Uint8Array(10) }),
    };
    for (const [name, code] of [
      ['bare.zip', 'CASE_WITHOUT_CLICKS'],
      ['cut.zip', 'CASE_FILE_DAMAGED'],
    ]) {
      const { status, world } = await run(files, 'measure', name!, '--out', 'o');
      expect([status, world.stderr().split(': ')[1]]).toEqual([3, code]);
    }
    const { status, world } = await run(files, 'inspect', 'scan.zip');
    expect([status, world.stderr()]).toEqual([3, expect.stringContaining('zip archive')]);
  });

  it('refuses clicks that lie off the scan', async () => {
    const [first, ...others] = upper.inputs.clicks;
    const clicks = [{ ...first!, point: [500, 0, 0] as const }, ...others];
    const bytes = await writeCaseFile(caseOf({ ...upper, inputs: { ...upper.inputs, clicks } }), OPTIONS);
    const { status, world } = await run({ 'case.zip': bytes }, 'measure', 'case.zip', '--out', 'o');
    expect([status, world.stderr().split(': ')[1]]).toEqual([3, 'CLICK_OFF_SURFACE']);
  });
});

describe('archgap inspect with a case file', () => {
  it('says what is in it, and gives the manifest as JSON', async () => {
    const bytes = await writeCaseFile(caseOf(upper, makeCaseArch()), OPTIONS);
    const { status, world } = await run({ 'case.zip': bytes }, 'inspect', 'case.zip');
    expect(status).toBe(0);
    expect(world.stdout()).toContain('4 teeth clicked');
    expect(world.stdout()).toContain('Ünten – größer.ply');
    const json = await run({ 'case.zip': bytes }, 'inspect', 'case.zip', '--json', '-');
    expect(JSON.parse(json.world.stdout()).schema).toBe('archgap-case/1');
  });
});
