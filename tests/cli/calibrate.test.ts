import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { readScannerProfile } from '../../src/contacts/scanner-profile.ts';
import { readResultJson } from '../../src/report/read-result-json.ts';
import { writeResultJson } from '../../src/report/write-result-json.ts';
import { type ContactSpec, makeAnalysis } from '../helpers/make-analysis.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';

/** A block whose posts are numbered 13 to 24: spaces of 0.1 (bridged) to 0.6 mm, each seen `error` too narrow. */
function block(fileName: string, errorsMm: readonly number[]): string {
  const pairs = ['12-11', '11-21', '21-22', '22-23', '23-24'];
  const contacts: Record<string, ContactSpec> = { '13-12': { status: 'bridged' } };
  for (const [k, pair] of pairs.entries()) {
    contacts[pair] = { status: 'open', gapMm: 0.2 + 0.1 * k + errorsMm[k]!, u95Mm: 0.001 };
  }
  const teeth = [13, 12, 11, 21, 22, 23, 24];
  const analysis = makeAnalysis({ teeth, contacts, fileName });
  // Every scan has a fingerprint of its own.
  const sha256 = createHash('sha256').update(fileName).digest('hex');
  const sources = analysis.sources.map((source) => ({ ...source, sha256 }));
  return writeResultJson({ ...analysis, sources }, { version: '0.0.0' });
}

const KNOWN = 'tooth_a,tooth_b,gap_mm\n13,12,0.1\n12,11,0.2\n11,21,0.3\n21,22,0.4\n22,23,0.5\n23,24,0.6\n';
const FILES = {
  'known.csv': KNOWN,
  'a.json': block('a.ply', [-0.01, -0.012, -0.008, -0.01, -0.01]),
  'b.json': block('b.ply', [-0.011, -0.009, -0.01, -0.012, -0.008]),
};
const COMMAND = ['calibrate', 'known.csv', 'a.json', 'b.json', '--name', 'bench', '--out', 'scanner.json'];

async function run(files: Record<string, string | Uint8Array>, ...argv: string[]) {
  const world = makeMemoryWorld(files);
  const status = await runCli(argv, world.io);
  return { world, status };
}

describe('archgap calibrate', () => {
  it('takes every scan once', async () => {
    const files = { ...FILES, 'copy.json': FILES['a.json'] };
    const argv = [
      'calibrate',
      'known.csv',
      'a.json',
      'b.json',
      'copy.json',
      '--name',
      'x',
      '--out',
      'o.json',
    ];
    const { world, status } = await run(files, ...argv);
    expect(status).toBe(3);
    expect(world.stderr()).toBe(
      'archgap: CALIBRATION_SCAN_TWICE: "a.json" and "copy.json" are of one and the same scan file; give one result of every scan of the block.\n',
    );
    expect(world.files.has('/here/o.json')).toBe(false);
  });

  it.each(['', ' ', 'x'.repeat(81)])('refuses the name "%s", which no profile can hold', async (name) => {
    const { world, status } = await run(FILES, ...COMMAND.with(5, name));
    expect(status).toBe(2);
    expect(world.stderr()).toContain('Expected a name of 1 to 80 characters.');
    expect(world.files.has('/here/scanner.json')).toBe(false);
  });

  it('asks for a name of the file', async () => {
    const { world, status } = await run(FILES, ...COMMAND.with(-1, ''));
    expect([status, world.stderr()]).toEqual([
      2,
      'archgap: OUT_EMPTY: The name after --out is empty; name a file, or - for standard output.\n',
    ]);
  });

  it('names the known spaces of which a scan shows nothing', async () => {
    const torn = FILES['a.json'].replaceAll('"bridge": "full"', '"bridge": "none"');
    const blind = torn.replaceAll('"status": "bridged"', '"status": "not-measurable"');
    const { world } = await run({ ...FILES, 'a.json': blind }, ...COMMAND);
    expect(world.stdout()).toContain('bench: 10 known spaces measured, 1 bridged.\n');
    expect(world.stdout()).toContain(
      '\nNeither measured nor bridged, and counted for nothing: a.ply 13-12 (not-measurable).\n',
    );
  });

  it('keeps what the terms rest on in the note of the file, however many spaces show nothing', async () => {
    const name = `${'scan-of-the-block-'.repeat(120)}.ply`;
    const torn = block(name, [0, 0, 0, 0, 0, 0]).replaceAll('"bridge": "full"', '"bridge": "none"');
    const blind = torn.replaceAll('"status": "bridged"', '"status": "not-measurable"');
    const { world } = await run({ ...FILES, 'a.json': blind }, ...COMMAND);
    const { note } = JSON.parse(new TextDecoder().decode(world.files.get('/here/scanner.json')));
    expect(note).toHaveLength(2000);
    expect(note).toMatch(/Offset .* µm .* Waviness .* µm .* Neither measured nor bridged/);
  });

  it('writes the terms of the scanner, and measure takes them up', async () => {
    const { world, status } = await run({ ...FILES, ...sphereCrownFiles(0.3) }, ...COMMAND);
    expect([status, world.stderr()]).toEqual([0, '']);
    expect(world.stdout()).toContain('bench: 10 known spaces measured, 2 bridged.');
    expect(world.stdout()).toContain('Offset -10 µm');
    const text = new TextDecoder().decode(world.files.get('/here/scanner.json'));
    const profile = readScannerProfile(text);
    // Means of the five spaces -10.5, -10.5, -9, -11, -9 um: mean -10, s 0.935, t95(4) = 2.776: half-width 1.161 um.
    expect(profile.systematicHalfWidthMm).toBeCloseTo(0.011161, 6);
    // Five different spaces were seen on both scans, which are not ten.
    expect(profile.noBridgeGapMm).toBe(0.5);
    const crowns = ['11', '21'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);
    const measure = ['measure', ...crowns, '--jaw', 'upper', '--out', 'o', '--scanner', 'scanner.json'];
    expect(await runCli(measure, world.io)).toBe(0);
    const { settings, contacts } = readResultJson(
      new TextDecoder().decode(world.files.get('/here/o/result.json')),
    );
    expect(settings.scanner).toEqual(profile);
    const waviness = contacts[0]!.gap!.terms.find(({ name }) => name === 'waviness')!;
    expect(waviness.standardMm).toBeCloseTo(Math.SQRT2 * profile.wavinessMm, 12);
    expect(new TextDecoder().decode(world.files.get('/here/o/report.html'))).toContain('Scanner: bench,');
  });

  it('keeps rows that name a scan to that scan', async () => {
    const known = KNOWN.replace('gap_mm\n', 'gap_mm,scan\n').replaceAll(/(0\.\d)\n/g, '$1,b.ply\n');
    const { world } = await run({ ...FILES, 'known.csv': known }, ...COMMAND);
    expect(world.stdout()).toContain('bench: 5 known spaces measured, 1 bridged.');
  });

  it('takes a table of a spreadsheet with decimal commas', async () => {
    const known = KNOWN.replaceAll(',', ';').replaceAll('.', ',');
    const { world, status } = await run({ ...FILES, 'known.csv': known }, ...COMMAND);
    expect([status, world.stderr()]).toEqual([0, '']);
    expect(world.stdout()).toContain('bench: 10 known spaces measured, 2 bridged.');
  });

  it.each([
    ['a column is missing', 'tooth_a,gap_mm\n13,0.1\n', 'KNOWN_SPACES_INVALID'],
    ['a space is no number', KNOWN.replace('0.4', 'wide'), 'KNOWN_SPACES_INVALID'],
    ['a space is written in another base', KNOWN.replace('0.4', '0x1'), 'KNOWN_SPACES_INVALID'],
    ['a column stands there twice', KNOWN.replace('gap_mm', 'gap_mm,gap_mm'), 'TABLE_COLUMN_TWICE'],
    ['a row has a cell too many', KNOWN.replace('0.4', '0,4'), 'KNOWN_SPACES_INVALID'],
    ['no result holds the contact', `${KNOWN}16,15,0.3\n`, 'KNOWN_SPACE_NOT_FOUND'],
    ['a space is no space of a block but micrometres', KNOWN.replace('0.4', '400'), 'KNOWN_SPACES_INVALID'],
    ['a space is beyond all numbers', KNOWN.replace('0.4', '1e300'), 'KNOWN_SPACES_INVALID'],
    [
      'an uncertainty is beyond all numbers',
      KNOWN.replace('gap_mm\n', 'gap_mm,u_mm\n').replace('0.4', '0.4,1e300'),
      'KNOWN_SPACES_INVALID',
    ],
    ['a contact stands there twice', `${KNOWN}11,12,0.2\n`, 'KNOWN_SPACE_TWICE'],
    [
      'a contact stands there for every scan and for one',
      `${KNOWN.replace('gap_mm\n', 'gap_mm,scan\n')}12,11,0.25,b.ply\n`,
      'KNOWN_SPACE_TWICE',
    ],
    ['too little was measured', 'tooth_a,tooth_b,gap_mm\n12,11,0.2\n', 'CALIBRATION_TOO_FEW'],
  ])('refuses when %s, and writes nothing', async (_, known, code) => {
    const { world, status } = await run({ ...FILES, 'known.csv': known }, ...COMMAND);
    expect(status).toBe(3);
    expect(world.stderr()).toMatch(new RegExp(`^archgap: ${code}: `));
    expect(world.files.has('/here/scanner.json')).toBe(false);
  });
});

it('measure refuses a scanner file that is none', async () => {
  const files = { ...sphereCrownFiles(0.3), 'scanner.json': '{"schema":"archgap-scanner/1"}' };
  const crowns = ['11', '21'].flatMap((tooth) => ['--crown', `${tooth}=${tooth}.stl`]);
  const argv = ['measure', ...crowns, '--jaw', 'upper', '--out', 'o', '--scanner', 'scanner.json'];
  const { world, status } = await run(files, ...argv);
  expect(status).toBe(3);
  expect(world.stderr()).toMatch(/^archgap: SCANNER_INVALID: /);
});
