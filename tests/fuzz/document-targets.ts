import { isDeepStrictEqual } from 'node:util';
import { zipSync } from 'fflate';
import {
  type CaseManifest,
  readManifest as readCaseManifest,
  scansOf,
  writeManifest,
} from '../../src/casefile/case-manifest.ts';
import { readCaseFile } from '../../src/casefile/read-case-file.ts';
import { SEAL_NAME, SEALED_DATA_NAME } from '../../src/casefile/seal.ts';
import { writeCaseFile } from '../../src/casefile/write-case-file.ts';
import { readRowRecord, writeFailedRow } from '../../src/cli/row-record.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { DEFAULT_PRACTICE, readPractice, writePractice } from '../../src/closure/practice.ts';
import { readScannerProfile, writeScannerProfile } from '../../src/contacts/scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { inputError } from '../../src/geometry/archgap-error.ts';
import { writePlanJson } from '../../src/report/plan-json.ts';
import { readPlanJson } from '../../src/report/read-plan-json.ts';
import { readResultJson } from '../../src/report/read-result-json.ts';
import { writeResultJson } from '../../src/report/write-result-json.ts';
import { readManifest } from '../../src/study/read-manifest.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import { makeCaseContent } from '../casefile/make-case.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan } from '../helpers/make-plan.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';
import { TETRAHEDRON, text } from '../helpers/scan-files.ts';
import type { FuzzTarget } from './fuzz-target.ts';

/** Bytes as a file of text, the way the page and the command line decode them. */
const decoded = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);

/** What was read and written again must be read as the same. */
function expectStable<T>(first: T, write: (value: T) => string, read: (text: string) => T): void {
  const written = write(first);
  if (write(read(written)) !== written) throw new Error('written again it reads as something else');
}

/**
 * Runs a command with the files given, of which one is a mutant.
 *
 * @throws ArchgapError the refusal, when the command ended with 3 and left nothing behind; Error when it did anything else
 */
async function runCommand(files: Readonly<Record<string, Uint8Array>>, argv: readonly string[]) {
  const world = makeMemoryWorld(files);
  const status = await runCli([...argv, '--out', 'out', '--json-errors'], world.io);
  const made = [...world.files.keys()].filter((path) => path.startsWith('/here/out'));
  if (made.some((path) => path.endsWith('.part'))) throw new Error(`left behind: ${made.join(', ')}`);
  if (status === 0 && made.length > 0) return;
  if (status !== 3) throw new Error(`status ${status}, ${made.length} files: ${world.stderr()}`);
  if (made.length > 0) throw new Error(`refused, but wrote ${made.join(', ')}`);
  const { code, sentence } = JSON.parse(world.stderr()) as { code: string; sentence: string };
  throw inputError(code, sentence);
}

const CLICK_FILE = {
  jaw: 'upper',
  unit: 'mm',
  clicks: [
    { tooth: '17', point: [1, 2.5, -3e-2] },
    { tooth: '11', point: [8, 1, 0] },
    { tooth: 'gum', point: [5, 3, 0] },
  ],
  missing: ['16'],
  fixed: ['11'],
};

const SURFACE = {
  positions: Float32Array.from(TETRAHEDRON.positions),
  triangles: Uint32Array.from(TETRAHEDRON.faces.flat()),
  originMm: [0, 0, 0],
} as const;

function readClicks(bytes: Uint8Array): void {
  const set = snapClicks(SURFACE, clicksToScanFrame(parseClickFile(decoded(bytes)), SURFACE));
  for (const { point } of set.clicks)
    if (!point.every(Number.isFinite)) throw new Error('a click that is nowhere');
}

function readResult(bytes: Uint8Array): void {
  const write = (analysis: Analysis) => writeResultJson(analysis, { version: 'fuzz' });
  expectStable(readResultJson(decoded(bytes)), write, readResultJson);
}

function readPlan(bytes: Uint8Array): void {
  const { span, planned } = readPlanJson(decoded(bytes));
  if (span === null && planned.length > 0) throw new Error('motion without a span');
  for (const { afterMm } of planned)
    if (!Number.isFinite(afterMm)) throw new Error('an end that is no number');
}

/** A list of scans: every row has a folder of its own, with a name that any file system takes. */
function readBatchList(bytes: Uint8Array): void {
  const { rows, carried } = readManifest(decoded(bytes));
  const names = rows.map(({ name }) => name.toLowerCase());
  if (new Set(names).size !== names.length) throw new Error('two rows with one folder');
  for (const { name, cells, scan, clicks, fault } of rows) {
    if (!/^[A-Za-z0-9_-][A-Za-z0-9._-]*$/.test(name))
      throw new Error(`a folder named ${JSON.stringify(name)}`);
    if (cells.length !== carried.length) throw new Error('a row with other columns than the list');
    if (fault === null && (scan === '' || clicks === ''))
      throw new Error('a row without a file and without a fault');
  }
}

/** The record of a row is the program's own: one that is not whole means that the row is measured again. */
function readRecord(bytes: Uint8Array): void {
  if (readRowRecord(bytes) === null) throw inputError('ROW_RECORD_NOT_WHOLE', 'The row is measured again.');
}

const SETTINGS = { limit_mm: 0.1, unit: null, numbering: 'iso', scanner: null } as const;

/** A case file: what comes out must be what a file written from it gives back. */
async function readCase(bytes: Uint8Array, passphrase: string | null): Promise<void> {
  const { content } = await readCaseFile(bytes, passphrase);
  const again = await writeCaseFile(content, { version: 'fuzz', savedAt: '2026-01-01T00:00:00Z' });
  if (!isDeepStrictEqual((await readCaseFile(again, null)).content, content))
    throw new Error('written again it reads as another case');
}

const ABOUT = { version: 'fuzz', savedAt: '2026-01-01T00:00:00Z' };
const PASSPHRASE = 'a space of 0.3 mm';
const CASE_FILE = await writeCaseFile(makeCaseContent(), ABOUT);
const CASE_MANIFEST = writeManifest((await readCaseFile(CASE_FILE, null)).manifest);

/** A mutated manifest in a sound zip, with the scans that the seed names. */
async function readCaseWithManifest(bytes: Uint8Array): Promise<void> {
  const { content, manifest } = await readCaseFile(CASE_FILE, null);
  const bytesOf = content.arches.flatMap((arch) => [arch, ...(arch.earlier ?? [])]).map((scan) => scan.bytes);
  const scans = scansOf(manifest).map(({ scan }, k) => [scan.path, bytesOf[k]!] as const);
  await readCase(zipSync({ 'manifest.json': bytes, ...Object.fromEntries(scans) }, { level: 0 }), null);
}

/** As a case file is encrypted (docs/formats.md), but with the same salt and start every time, so that a mutant can be made again. */
async function sealedSeed(plain: Uint8Array): Promise<Uint8Array> {
  const [salt, iv] = [new Uint8Array(16).fill(7), new Uint8Array(12).fill(9)];
  const header = text(
    JSON.stringify({
      schema: 'archgap-sealed/1',
      key: {
        derivation: 'PBKDF2-HMAC-SHA-256',
        iterations: 600_000,
        salt: Buffer.from(salt).toString('base64'),
      },
      cipher: { name: 'AES-256-GCM', iv: Buffer.from(iv).toString('base64') },
    }),
  ) as Uint8Array<ArrayBuffer>;
  const { subtle } = globalThis.crypto;
  const secret = await subtle.importKey('raw', text(PASSPHRASE) as Uint8Array<ArrayBuffer>, 'PBKDF2', false, [
    'deriveKey',
  ]);
  const key = await subtle.deriveKey(
    { name: 'PBKDF2', hash: 'SHA-256', salt, iterations: 600_000 },
    secret,
    { name: 'AES-GCM', length: 256 },
    false,
    ['encrypt'],
  );
  const gcm = { name: 'AES-GCM', iv, additionalData: header, tagLength: 128 };
  const sealed = new Uint8Array(await subtle.encrypt(gcm, key, plain as Uint8Array<ArrayBuffer>));
  return zipSync(
    { [SEAL_NAME]: header, [SEALED_DATA_NAME]: [sealed, { level: 0 }] },
    { mtime: new Date(1980, 0, 1) },
  );
}

const KNOWN =
  'tooth_a,tooth_b,gap_mm,u_mm\n13,12,0.1,0.002\n12,11,0.2,\n11,21,"0.3",0\n21,22,0.4,\n22,23,0.5,\n';
const BLOCK = writeResultJson(
  makeAnalysis({
    teeth: [13, 12, 11, 21, 22, 23],
    contacts: Object.fromEntries(
      ['13-12', '12-11', '11-21', '21-22', '22-23'].map((pair, k) => [
        pair,
        { status: 'open' as const, gapMm: 0.09 + 0.1 * k, u95Mm: 0.02 },
      ]),
    ),
  }),
  { version: 'fuzz' },
);
const REPEATED =
  'scan,id,jaw,operator,repeat,tooth_a,tooth_b,status,gap_mm\n' +
  ['A', 'B']
    .flatMap((operator) =>
      [1, 2, 3, 4].map(
        (id) =>
          `m${id}.ply,m${id},upper,${operator},1,12,11,open,${(0.1 * id + (operator === 'A' ? 0.01 : 0)).toFixed(3)}\n`,
      ),
    )
    .join('');
const BATCH_LIST =
  'scan,clicks,jaw,id,operator,repeat\n' +
  'scans/m1.ply,clicks/m1.json,upper,m1,A,1\n"scans/m 2.ply",clicks/m2.json,lower,m2,B,2\nm3.ply,m3.json,,,,\n';

/** Every document that is read, beside the scans. */
export const DOCUMENT_TARGETS: readonly FuzzTarget[] = [
  { name: 'click file', seed: text(JSON.stringify(CLICK_FILE)), read: readClicks },
  {
    name: 'result',
    seed: text(writeResultJson(makeAnalysis({ teeth: [12, 11, 21] }), { version: 'fuzz' })),
    read: readResult,
  },
  {
    name: 'result, planned',
    seed: text(writeResultJson(threeSpaces(), { version: 'fuzz' })),
    share: 0.02,
    read: (bytes) => runCommand({ 'result.json': bytes }, ['plan', 'result.json']),
  },
  {
    name: 'plan of an earlier case',
    seed: text(
      writePlanJson(makePlan(threeSpaces()), threeSpaces(), { version: 'fuzz', resultSha256: null }),
    ),
    read: readPlan,
  },
  {
    name: 'scanner profile',
    seed: text(writeScannerProfile(UNCALIBRATED_SCANNER)),
    read: (bytes) =>
      expectStable(readScannerProfile(decoded(bytes)), (it) => writeScannerProfile(it), readScannerProfile),
  },
  {
    name: 'practice preferences',
    seed: text(writePractice(DEFAULT_PRACTICE)),
    read: (bytes) => expectStable(readPractice(decoded(bytes)), writePractice, readPractice),
  },
  { name: 'case file', seed: CASE_FILE, share: 0.5, read: (bytes) => readCase(bytes, null) },
  { name: 'case file, its manifest', seed: text(CASE_MANIFEST), share: 0.5, read: readCaseWithManifest },
  {
    name: 'case manifest',
    seed: text(CASE_MANIFEST),
    read: (bytes) =>
      expectStable<CaseManifest>(readCaseManifest(decoded(bytes)), writeManifest, readCaseManifest),
  },
  {
    // A key of 600,000 rounds takes a quarter of a second: few of these.
    name: 'encrypted case file',
    seed: await sealedSeed(CASE_FILE),
    share: 0.002,
    read: (bytes) => readCase(bytes, PASSPHRASE),
  },
  { name: 'list of a batch', seed: text(BATCH_LIST), read: readBatchList },
  {
    name: 'record of a row',
    seed: writeFailedRow('m1_upper', 'fuzz', SETTINGS, { code: 'A', sentence: 'B.' }),
    read: readRecord,
  },
  {
    name: 'table of repeated measurements',
    seed: text(REPEATED),
    share: 0.05,
    read: (bytes) => runCommand({ 'table.csv': bytes }, ['agreement', 'table.csv']),
  },
  {
    name: 'known spaces of a block',
    seed: text(KNOWN),
    share: 0.2,
    read: (bytes) =>
      runCommand({ 'known.csv': bytes, 'block.json': text(BLOCK) }, [
        ...['calibrate', 'known.csv', 'block.json', '--name', 'fuzz'],
      ]),
  },
];
