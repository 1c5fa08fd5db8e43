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
    throw isScan(bytes) ? scanForText('TEXT_NOT_UTF8', name, fault) : fault;
  }
}

/**
 * What the bytes of a UTF-8 file hold. A scan that is written as text is told as one, too: what is wrong with it as JSON
 * or as a table helps nobody.
 *
 * @param parse - makes it of the text
 * @throws ArchgapError as {@link textOf} and `parse`
 */
export function parsedText<T>(bytes: Uint8Array, name: string, parse: (text: string) => T): T {
  const text = textOf(bytes, name);
  return tellingScans([{ name, text }], () => parse(text));
}

/**
 * Does something with texts; where one of them is a scan and that is refused, it is told as one.
 * @throws ArchgapError as `work`
 */
export function tellingScans<T>(
  texts: readonly { readonly name: string; readonly text: string }[],
  work: () => T,
): T {
  try {
    return work();
  } catch (fault) {
    const scan = texts.find(({ text }) => isTextScan(text));
    if (!(fault instanceof ArchgapError) || fault.kind !== 'input' || !scan) throw fault;
    throw scanForText(fault.code, scan.name, fault);
  }
}

function scanForText(code: string, name: string, cause: unknown): ArchgapError {
  return inputError(
    code,
    `"${name}" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.`,
    { cause },
  );
}

/** STL and PLY as text, by how both begin; a table may have a column "ply" or "solid". */
function isTextScan(text: string): boolean {
  return (
    /^\s*solid\b[^\r\n]*[\r\n]+\s*(facet|endsolid)\s/i.test(text) ||
    /^ply\s+(format|comment|obj_info)\s/i.test(text)
  );
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
