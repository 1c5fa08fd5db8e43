import { namingFile } from '../geometry/archgap-error.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import { runInSteps, type Steps } from '../geometry/steps.ts';
import { buildScan } from './build-scan.ts';
import { detectFormat } from './detect-format.ts';
import type { RawMesh } from './raw-mesh.ts';
import { readPly } from './read-ply.ts';
import { readAsciiStl, readBinaryStl } from './read-stl.ts';
import { sha256 } from './sha256.ts';
import type { LengthUnit, Scan } from './types.ts';

export interface ReadScanOptions {
  /** For messages and the record; the format is decided from the bytes. */
  readonly fileName: string;
  /** The unit of the file's numbers when the user says so; left out or null to decide from header and size. */
  readonly unit?: LengthUnit | null;
  readonly control?: JobControl;
}

/** The reader for the bytes, not yet started. */
export function openReader(bytes: Uint8Array, fileName: string): Steps<RawMesh> {
  const format = detectFormat(bytes, fileName);
  if (format === 'ply') return readPly(bytes);
  return format === 'stl-ascii' ? readAsciiStl(bytes) : readBinaryStl(bytes);
}

/**
 * Reads an STL or PLY file into a checked scan in millimetres. Nothing is dropped or misread silently: what is
 * wrong is a typed error with the file and its place, what was repaired or is doubtful is a finding in `health`.
 *
 * @param bytes - the whole file; not modified, not kept
 * @throws ArchgapError input (see {@link detectFormat}, the readers, `buildScan`), `CANCELLED`
 */
export async function readScan(bytes: Uint8Array, options: ReadScanOptions): Promise<Scan> {
  const { fileName, unit = null, control = UNATTENDED } = options;
  try {
    // Computed off this thread while the file is read; of a file that cannot be read nobody asks for it.
    const digest = sha256(bytes);
    digest.catch(() => {});
    const raw = await runInSteps(openReader(bytes, fileName), subJob(control, 0, 0.5));
    const facts = { fileName, byteLength: bytes.length, sha256: await digest, unit };
    return await runInSteps(buildScan(raw, facts), subJob(control, 0.5, 1));
  } catch (fault) {
    throw namingFile(fault, fileName);
  }
}
