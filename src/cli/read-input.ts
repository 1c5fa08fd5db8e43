import { ArchgapError, namingFile } from '../geometry/archgap-error.ts';
import type { OpenFile } from '../scan/file-bytes.ts';
import type { CliIo, CliOpenFile } from './cli-io.ts';
import { faultCode, readFault } from './file-faults.ts';
import { parsedText, textOf } from './text-of.ts';

/**
 * The bytes of a file.
 * @throws ArchgapError `FILE_NOT_FOUND`, `FILE_IS_FOLDER`, `FILE_TOO_LARGE`, `FILE_NOT_READABLE`, `CANCELLED`
 */
export async function readBytes(io: CliIo, path: string): Promise<Uint8Array> {
  try {
    return await io.files.read(path);
  } catch (cause) {
    throw readFault(path, cause);
  }
}

/**
 * Does something with a file that is read stretch by stretch, and closes it.
 * @throws ArchgapError as {@link readBytes}, `FILE_CHANGED`, and what `use` throws
 */
export async function withOpenFile<T>(
  io: CliIo,
  path: string,
  use: (file: OpenFile) => Promise<T>,
): Promise<T> {
  let file: CliOpenFile | null = null;
  try {
    file = await io.files.open(path);
    return await use(file);
  } catch (fault) {
    // A fault of the operating system has a code, too; our own say already what was wrong.
    throw fault instanceof ArchgapError || faultCode(fault) === '' ? fault : readFault(path, fault);
  } finally {
    file?.close();
  }
}

/**
 * The text of a UTF-8 file.
 * @throws ArchgapError as {@link readBytes}, and `TEXT_NOT_UTF8`
 */
export async function readText(io: CliIo, path: string): Promise<string> {
  return textOf(await readBytes(io, path), path);
}

/**
 * What a UTF-8 file holds.
 * @param parse - makes it of the text
 * @throws ArchgapError as {@link readText} and `parse`, with the name of the file
 */
export async function readDocument<T>(io: CliIo, path: string, parse: (text: string) => T): Promise<T> {
  const bytes = await readBytes(io, path);
  return ofFile(path, () => parsedText(bytes, path, parse));
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
