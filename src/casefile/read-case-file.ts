import { ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { decodeText } from '../geometry/decode-text.ts';
import { type FileBytes, stretchOf } from '../scan/file-bytes.ts';
import { sha256 } from '../scan/sha256.ts';
import { type CaseManifest, type ManifestScan, readManifest, scansOf } from './case-manifest.ts';
import { looksLikeZip, readZip } from './read-zip.ts';
import { SEAL_NAME, SEALED_DATA_NAME, unsealCase } from './seal.ts';
import type { CaseArch, CaseContent, CaseScan } from './types.ts';
import { MANIFEST_NAME } from './write-case-file.ts';
import { agreesWithZip } from './zip-checksum.ts';

/** Where the names of a zip's entries stand: before each of them, and all together at its end. */
const NAMES_HEAD = 4096;
const NAMES_TAIL = 16_384;

/** Whether the bytes are those of a case file, whole or not, rather than of another zip or of a scan. */
export function looksLikeCaseFile(file: FileBytes): boolean {
  const { length } = file;
  const head = stretchOf(file, 0, Math.min(NAMES_HEAD, length));
  if (!looksLikeZip(head)) return false;
  const latin1 = new TextDecoder('latin1');
  const first = latin1.decode(head);
  const names = first + latin1.decode(stretchOf(file, Math.max(0, length - NAMES_TAIL), length));
  return names.includes(MANIFEST_NAME) || names.includes(SEAL_NAME);
}

export interface ReadCaseFile {
  readonly content: CaseContent;
  /** As it stands in the file: who wrote it, when, and the fingerprints of its scans. */
  readonly manifest: CaseManifest;
  readonly encrypted: boolean;
}

/**
 * Reads a case file (archgap-case/1). The scans come back byte for byte; one whose fingerprint does not agree with
 * the manifest, or a manifest whose checksum does not agree with the zip, is refused with the whole file.
 *
 * @param passphrase - for an encrypted file; null = none was given
 * @throws ArchgapError `CASE_FILE_SEALED` when a passphrase is needed, `CASE_FILE_PASSPHRASE`, `CASE_FILE_NOT_OURS`,
 *   `CASE_FILE_NEWER`, `CASE_FILE_DAMAGED`, `CASE_FILE_INVALID`, `CASE_FILE_PATH`, `CASE_FILE_TOO_LARGE`,
 *   `CASE_FILE_NOT_JSON`, `CASE_FILE_NOT_ZIP`, `CASE_FILE_SEAL`, `TEXT_NOT_UTF8`
 */
export async function readCaseFile(bytes: Uint8Array, passphrase: string | null): Promise<ReadCaseFile> {
  if (!looksLikeZip(bytes)) {
    throw inputError(
      'CASE_FILE_NOT_ZIP',
      'The file is no case file: it does not begin as a zip does. Choose a file saved by this program.',
    );
  }
  const heads = readZip(bytes, new Set([MANIFEST_NAME, SEAL_NAME, SEALED_DATA_NAME]));
  const seal = heads.get(SEAL_NAME);
  const sealed = heads.get(SEALED_DATA_NAME);
  if (!seal || !sealed) return { ...(await readPlain(bytes, heads.get(MANIFEST_NAME))), encrypted: false };
  if (passphrase === null) {
    throw inputError(
      'CASE_FILE_SEALED',
      'The case file is encrypted; give the passphrase it was saved with.',
    );
  }
  const plain = await unsealCase(seal, sealed, passphrase);
  const inside = readZip(plain, new Set([MANIFEST_NAME]));
  return { ...(await readPlain(plain, inside.get(MANIFEST_NAME))), encrypted: true };
}

async function readPlain(
  zip: Uint8Array,
  manifestBytes: Uint8Array | undefined,
): Promise<Omit<ReadCaseFile, 'encrypted'>> {
  if (!manifestBytes) {
    throw inputError(
      'CASE_FILE_NOT_OURS',
      'The zip holds no manifest.json, so it is no case file; unpack it and open the scan inside.',
    );
  }
  // The scans have fingerprints in it; it has none itself.
  if (!agreesWithZip(zip, MANIFEST_NAME, manifestBytes)) {
    throw inputError(
      'CASE_FILE_DAMAGED',
      'The manifest of the case file is not the one that was saved: its checksum differs. Take another copy of the file.',
    );
  }
  const manifest = readManifest(decodeText(manifestBytes, MANIFEST_NAME));
  const files = readZip(zip, new Set(scansOf(manifest).map(({ scan }) => scan.path)));
  const arches: CaseArch[] = [];
  for (const { earlier = [], ...newest } of manifest.arches) {
    const arch = await scanOf(newest, files);
    const before: CaseScan[] = [];
    for (const scan of earlier) before.push(await scanOf(scan, files));
    arches.push(before.length > 0 ? { ...arch, earlier: before } : arch);
  }
  const [first, second] = arches;
  if (!first) throw new ArchgapError('internal', 'INTERNAL', 'A checked manifest names no arch.');
  const content: CaseContent = { demo: manifest.demo, arches: second ? [first, second] : [first] };
  return { content, manifest };
}

async function scanOf(
  { scan, ...rest }: ManifestScan,
  files: ReadonlyMap<string, Uint8Array>,
): Promise<CaseScan> {
  const bytes = files.get(scan.path);
  const agrees =
    bytes !== undefined && bytes.length === scan.byteLength && (await sha256(bytes)) === scan.sha256;
  if (!agrees) {
    throw inputError(
      'CASE_FILE_DAMAGED',
      bytes === undefined
        ? `The scan ${scan.fileName} is missing from the case file: it is damaged or not whole. Take another copy of it.`
        : `The scan ${scan.fileName} in the case file is not the one that was saved: its fingerprint differs. Take another copy of the file.`,
      { details: { scan: scan.fileName } },
    );
  }
  return { fileName: scan.fileName, bytes, ...rest };
}
