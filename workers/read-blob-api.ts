import { inputError } from '../src/geometry/archgap-error.ts';

/** As on the command line; no browser reads more in one piece. */
const MOST_BYTES = 2 ** 31 - 1;

/**
 * All of a file of the user.
 * @throws ArchgapError input `FILE_TOO_LARGE` above 2 GB, `FILE_UNREADABLE` when it was changed or taken away since it
 *   was chosen
 */
export async function readBlob(file: Blob): Promise<Uint8Array<ArrayBuffer>> {
  if (file.size > MOST_BYTES) {
    throw inputError(
      'FILE_TOO_LARGE',
      'The file is larger than 2 GB, more than any intraoral scan; check that it is the right file.',
    );
  }
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch (cause) {
    throw inputError(
      'FILE_UNREADABLE',
      'The file can no longer be read: it was changed, moved or taken away since it was chosen; choose it again.',
      { cause },
    );
  }
}
