import { inputError } from '../src/geometry/archgap-error.ts';

/**
 * All of a file of the user.
 * @throws ArchgapError input `FILE_UNREADABLE` when it was changed or taken away since it was chosen
 */
export async function readBlob(file: Blob): Promise<Uint8Array<ArrayBuffer>> {
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
