import { looksLikeCaseFile, type ReadCaseFile, readCaseFile } from '../casefile/read-case-file.ts';
import { ArchgapError, usageError } from '../geometry/archgap-error.ts';
import { stretchOf } from '../scan/file-bytes.ts';
import type { CliIo } from './cli-io.ts';
import { readText, withOpenFile } from './read-input.ts';

/** The bytes of a case file, or null when the path names something else or nothing. */
export async function caseBytes(io: CliIo, path: string): Promise<Uint8Array | null> {
  try {
    return await withOpenFile(io, path, async (file) =>
      looksLikeCaseFile(file) ? stretchOf(file, 0, file.length).slice() : null,
    );
  } catch (fault) {
    // Whoever reads it in earnest says what is wrong with it.
    if (fault instanceof ArchgapError) return null;
    throw fault;
  }
}

/**
 * Reads a case file.
 * @param passphraseFile - its first line is the passphrase: on the command line everyone could read it
 */
export async function openCase(
  io: CliIo,
  bytes: Uint8Array,
  passphraseFile: string | undefined,
): Promise<ReadCaseFile> {
  const passphrase =
    passphraseFile === undefined ? null : ((await readText(io, passphraseFile)).split(/\r?\n/, 1)[0] ?? '');
  try {
    return await readCaseFile(bytes, passphrase);
  } catch (fault) {
    if (fault instanceof ArchgapError && fault.code === 'CASE_FILE_SEALED') {
      throw new ArchgapError(
        'input',
        fault.code,
        `${fault.message.replace(/[;.].*$/, '')}; name a file that holds the passphrase with --passphrase-file.`,
      );
    }
    throw fault;
  }
}

/** An option about a scan that came with a case file. */
export function caseSaysIt(option: string): ArchgapError {
  return usageError(
    'CASE_SAYS_IT',
    `${option} does not go with a case file: the case holds what was said about it.`,
  );
}

/** `--passphrase-file` that came with anything but a case file. */
export function noCaseFile(): ArchgapError {
  return usageError('PASSPHRASE_WITHOUT_CASE', '--passphrase-file opens a case file; a scan needs none.');
}
