import { ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { decodeText } from '../geometry/decode-text.ts';
import { detectFormat } from '../scan/detect-format.ts';

/**
 * The text of the bytes of a UTF-8 file. A scan in its place, as where two files of a command were exchanged, is told as
 * one: it has no text to save otherwise.
 *
 * @param name - of the file, as the user knows it
 * @throws ArchgapError `TEXT_NOT_UTF8`
 */
export function textOf(bytes: Uint8Array, name: string): string {
  try {
    return decodeText(bytes, name);
  } catch (fault) {
    if (!isScan(bytes)) throw fault;
    throw inputError(
      'TEXT_NOT_UTF8',
      `"${name}" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.`,
      { cause: fault },
    );
  }
}

function isScan(bytes: Uint8Array): boolean {
  try {
    detectFormat(bytes, '');
    return true;
  } catch (fault) {
    if (fault instanceof ArchgapError) return false;
    throw fault;
  }
}
