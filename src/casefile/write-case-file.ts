import { type Zippable, zipSync } from 'fflate';
import { sha256 } from '../scan/sha256.ts';
import {
  CASE_SCHEMA,
  type CaseManifest,
  type ManifestArch,
  type ManifestScan,
  writeManifest,
} from './case-manifest.ts';
import { plainStem } from './plain-stem.ts';
import { sealCase } from './seal.ts';
import type { CaseContent, CaseScan } from './types.ts';

export const MANIFEST_NAME = 'manifest.json';

export interface CaseFileOptions {
  /** Of the program. */
  readonly version: string;
  /** ISO date and time. */
  readonly savedAt: string;
  /** Encrypts the file; null = not encrypted. */
  readonly passphrase?: string | null;
}

/**
 * A case as one file: a zip (archgap-case/1, docs/formats.md) of a manifest and the scans as they were given. The
 * same content gives the same bytes, unless it is encrypted.
 *
 * @throws ArchgapError `PASSPHRASE_SHORT`
 */
export async function writeCaseFile(content: CaseContent, options: CaseFileOptions): Promise<Uint8Array> {
  const arches: ManifestArch[] = [];
  const files: Zippable = {};
  const pack = async ({ bytes, fileName, unit, originMm, inputs }: CaseScan): Promise<ManifestScan> => {
    const path = pathOf(fileName, Object.keys(files).length);
    files[path] = bytes;
    const scan = { path, fileName, byteLength: bytes.length, sha256: await sha256(bytes) };
    return { scan, unit, originMm, inputs };
  };
  for (const arch of content.arches) {
    const newest = await pack(arch);
    const earlier: ManifestScan[] = [];
    for (const scan of arch.earlier ?? []) earlier.push(await pack(scan));
    arches.push(earlier.length > 0 ? { ...newest, earlier } : newest);
  }
  const { version, savedAt, passphrase = null } = options;
  const manifest: CaseManifest = { schema: CASE_SCHEMA, version, savedAt, demo: content.demo, arches };
  const plain = zipSync(
    { [MANIFEST_NAME]: new TextEncoder().encode(writeManifest(manifest)), ...files },
    // A fixed time in local terms: zip knows no time zone. Level 3 packs scans as well as 6 in half the time.
    { mtime: new Date(1980, 0, 1), level: 3 },
  );
  return passphrase === null ? plain : sealCase(plain, passphrase);
}

/** A name for the file: that of the scan worked on, in letters that every file system takes. */
export function caseFileName({ demo, arches: [first] }: CaseContent): string {
  return `${demo ? 'demo' : plainStem(first.fileName)}-case.zip`;
}

/** A name that every file system takes, told apart by its number. */
function pathOf(fileName: string, at: number): string {
  const plain = fileName
    .toLowerCase()
    .replace(/[^a-z0-9._-]+/g, '-')
    .replace(/^[^a-z0-9]+/, '')
    .slice(-60);
  return `scans/${at + 1}-${plain === '' ? 'scan' : plain}`;
}
