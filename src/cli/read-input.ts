import { namingFile } from '../geometry/archgap-error.ts';
import { decodeText } from '../geometry/decode-text.ts';
import type { CliIo } from './cli-io.ts';
import { readFault } from './file-faults.ts';

/**
 * The bytes of a file.
 * @throws ArchgapError `FILE_NOT_FOUND`, `FILE_IS_FOLDER`, `FILE_TOO_LARGE`, `FILE_NOT_READABLE`
 */
export async function readBytes(io: CliIo, path: string): Promise<Uint8Array> {
  try {
    return await io.files.read(path);
  } catch (cause) {
    throw readFault(path, cause);
  }
}

/**
 * The text of a UTF-8 file.
 * @throws ArchgapError as {@link readBytes}, and `TEXT_NOT_UTF8`
 */
export async function readText(io: CliIo, path: string): Promise<string> {
  return decodeText(await readBytes(io, path), path);
}

/**
 * What a UTF-8 file holds.
 * @param parse - makes it of the text
 * @throws ArchgapError as {@link readText} and `parse`, with the name of the file
 */
export async function readDocument<T>(io: CliIo, path: string, parse: (text: string) => T): Promise<T> {
  const text = await readText(io, path);
  return ofFile(path, () => parse(text));
}

/**
 * Reads what a file holds.
 * @throws ArchgapError as `parse`, with the name of the file
 */
export function ofFile<T>(path: string, parse: () => T): T {
  try {
    return parse();
  } catch (fault) {
    throw namingFile(fault, path);
  }
}
