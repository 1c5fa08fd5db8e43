import { namingFile } from '../geometry/archgap-error.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import { runInSteps, type Steps } from '../geometry/steps.ts';
import { buildScan } from './build-scan.ts';
import { detectFormat } from './detect-format.ts';
import { type FileBytes, type OpenFile, stretchOf } from './file-bytes.ts';
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

/** The reader for the file, not yet started. Only a binary STL is read stretch by stretch, the others as a whole. */
export function openReader(file: FileBytes, fileName: string): Steps<RawMesh> {
  const format = detectFormat(file, fileName);
  if (format === 'stl-binary') return readBinaryStl(file);
  const bytes = stretchOf(file, 0, file.length);
  return format === 'ply' ? readPly(bytes) : readAsciiStl(bytes);
}

/**
 * Reads an STL or PLY file into a checked scan in millimetres. Nothing is dropped or misread silently: what is
 * wrong is a typed error with the file and its place, what was repaired or is doubtful is a finding in `health`.
 *
 * @param file - not modified, not kept; an open one is not closed
 * @throws ArchgapError input (see {@link detectFormat}, the readers, `buildScan`), `CANCELLED`
 */
export async function readScan(file: Uint8Array | OpenFile, options: ReadScanOptions): Promise<Scan> {
  const { fileName, unit = null, control = UNATTENDED } = options;
  try {
    const fingerprint = fingerprintOf(file);
    const raw = await runInSteps(openReader(file, fileName), subJob(control, 0, 0.5));
    const facts = { fileName, byteLength: file.length, sha256: await fingerprint(), unit };
    return await runInSteps(buildScan(raw, facts), subJob(control, 0.5, 1));
  } catch (fault) {
    throw namingFile(fault, fileName);
  }
}

/**
 * The fingerprint of a file, to be asked for once the file was read. Of bytes in memory it is begun at once, off this
 * thread; an open file computes it as it is read.
 */
function fingerprintOf(file: Uint8Array | OpenFile): () => string | Promise<string> {
  if (!(file instanceof Uint8Array)) return () => file.sha256();
  const digest = sha256(file);
  // Of a file that cannot be read nobody asks for it.
  digest.catch(() => {});
  return () => digest;
}
