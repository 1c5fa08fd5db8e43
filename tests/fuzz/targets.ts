import { runAtOnce } from '../../src/geometry/steps.ts';
import { writeLabelledPly } from '../../src/report/labelled-ply.ts';
import { readLabelledPly } from '../../src/report/read-labelled-ply.ts';
import { buildScan } from '../../src/scan/build-scan.ts';
import { openReader } from '../../src/scan/read-scan.ts';
import type { Scan } from '../../src/scan/types.ts';
import { TETRAHEDRON } from '../helpers/scan-files.ts';
import { DOCUMENT_TARGETS } from './document-targets.ts';
import type { FuzzTarget } from './fuzz-target.ts';
import { SCAN_SEEDS } from './scan-seeds.ts';

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

/** Bytes as the page and the command line read them. */
export function readScanBytes(bytes: Uint8Array, fileName: string): void {
  // The unit is part of what a user can give; which one follows from the bytes, so that a mutant is its own record.
  const unit = UNITS[bytes.length % UNITS.length]!;
  const facts = { fileName, byteLength: bytes.length, sha256: '', unit };
  expectSound(runAtOnce(buildScan(runAtOnce(openReader(bytes, fileName)), facts)), bytes.length);
}

const SURFACE = {
  positions: Float32Array.from(TETRAHEDRON.positions),
  triangles: Uint32Array.from(TETRAHEDRON.faces.flat()),
  colors: null,
  originMm: [0, 0, 0],
} as const;

function readLabelled(bytes: Uint8Array): void {
  const { mesh, labels } = readLabelledPly(bytes, [0, 0, 0]);
  if (labels.length !== mesh.triangles.length / 3) throw new Error('labels do not match the triangles');
  for (const index of mesh.triangles)
    if (index >= mesh.positions.length / 3) throw new Error('an index out of range');
}

/** Everything that reads bytes from outside, one target a dialect. */
export const FUZZ_TARGETS: readonly FuzzTarget[] = [
  ...SCAN_SEEDS.map(([name, seed]): FuzzTarget => ({ name, seed, read: readScanBytes })),
  {
    name: 'labelled PLY',
    seed: writeLabelledPly(SURFACE, Uint8Array.of(0, 11, 11, 21)),
    read: readLabelled,
  },
  ...DOCUMENT_TARGETS,
];
