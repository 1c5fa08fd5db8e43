import { DEFAULT_PRACTICE, readPractice, writePractice } from '../../src/closure/practice.ts';
import { readScannerProfile, writeScannerProfile } from '../../src/contacts/scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { writeLabelledPly } from '../../src/report/labelled-ply.ts';
import { readLabelledPly } from '../../src/report/read-labelled-ply.ts';
import { readResultJson, writeResultJson } from '../../src/report/result-json.ts';
import { buildScan } from '../../src/scan/build-scan.ts';
import { openReader } from '../../src/scan/read-scan.ts';
import type { Scan } from '../../src/scan/types.ts';
import { parseClickFile } from '../../src/teeth/clicks.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';
import { text } from '../helpers/scan-files.ts';
import { SCAN_SEEDS } from './scan-seeds.ts';

/** Something that takes bytes from outside: what it must do is read them or refuse with a typed error. */
export interface FuzzTarget {
  readonly name: string;
  /** A sound input, from which the mutants are made. */
  readonly seed: Uint8Array;
  /** Reads the bytes and checks that what came out is sound; throws otherwise. */
  readonly read: (bytes: Uint8Array, fileName: string) => void;
}

function expectSound(scan: Scan, fileBytes: number): void {
  const { positions, triangles } = scan;
  // No array may outgrow what the file's bytes can say.
  if (triangles.length > 3 * fileBytes || positions.length > 9 * fileBytes)
    throw new Error('more than the file holds');
  for (const value of positions)
    if (!Number.isFinite(value)) throw new Error('a coordinate that is no number');
  for (const index of triangles) if (index >= positions.length / 3) throw new Error('an index out of range');
  if (triangles.length === 0) throw new Error('a scan without triangles');
}

const UNITS = [null, 'mm', 'cm', 'm', 'in'] as const;

function readScanBytes(bytes: Uint8Array, fileName: string): void {
  // The unit is part of what a user can give; which one follows from the bytes, so that a mutant is its own record.
  const unit = UNITS[bytes.length % UNITS.length]!;
  const facts = { fileName, byteLength: bytes.length, sha256: '', unit };
  expectSound(runAtOnce(buildScan(runAtOnce(openReader(bytes, fileName)), facts)), bytes.length);
}

/** Bytes as a file of text, the way the page and the command line decode them. */
const decoded = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);

/** What was read and written again must be read as the same. */
function expectStable<T>(first: T, write: (value: T) => string, read: (text: string) => T): void {
  const written = write(first);
  if (write(read(written)) !== written) throw new Error('written again it reads as something else');
}

const CLICK_FILE = {
  jaw: 'upper',
  unit: 'mm',
  clicks: [
    { tooth: '17', point: [1, 2.5, -3e-2] },
    { tooth: '11', point: [12, 8, 0] },
    { tooth: 'gum', point: [5, 3, 0] },
  ],
  missing: ['16'],
  fixed: ['11'],
};

const TETRAHEDRON = {
  positions: Float32Array.of(0, 0, 0, 10, 0, 0, 0, 10, 0, 0, 0, 10),
  triangles: Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3),
  colors: null,
  originMm: [0, 0, 0],
} as const;

function readLabelled(bytes: Uint8Array): void {
  const { mesh, labels } = readLabelledPly(bytes, [0, 0, 0]);
  if (labels.length !== mesh.triangles.length / 3) throw new Error('labels do not match the triangles');
  for (const index of mesh.triangles)
    if (index >= mesh.positions.length / 3) throw new Error('an index out of range');
}

function readResult(bytes: Uint8Array): void {
  const write = (analysis: Analysis) => writeResultJson(analysis, { version: 'fuzz' });
  expectStable(readResultJson(decoded(bytes)), write, readResultJson);
}

/** Everything that reads bytes from outside, one target a dialect. */
export const FUZZ_TARGETS: readonly FuzzTarget[] = [
  ...SCAN_SEEDS.map(([name, seed]): FuzzTarget => ({ name, seed, read: readScanBytes })),
  {
    name: 'labelled PLY',
    seed: writeLabelledPly(TETRAHEDRON, Uint8Array.of(0, 11, 11, 21)),
    read: readLabelled,
  },
  {
    name: 'click file',
    seed: text(JSON.stringify(CLICK_FILE)),
    read: (bytes) => {
      parseClickFile(decoded(bytes));
    },
  },
  {
    name: 'result',
    seed: text(writeResultJson(makeAnalysis({ teeth: [12, 11, 21] }), { version: 'fuzz' })),
    read: readResult,
  },
  {
    name: 'scanner profile',
    seed: text(writeScannerProfile(UNCALIBRATED_SCANNER)),
    read: (bytes) =>
      expectStable(
        readScannerProfile(decoded(bytes)),
        (profile) => writeScannerProfile(profile),
        readScannerProfile,
      ),
  },
  {
    name: 'practice preferences',
    seed: text(writePractice(DEFAULT_PRACTICE)),
    read: (bytes) => expectStable(readPractice(decoded(bytes)), writePractice, readPractice),
  },
];
