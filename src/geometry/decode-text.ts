import { inputError } from './archgap-error.ts';

/**
 * The text of the bytes of a UTF-8 file; nothing is put in place of what is none.
 * @param name - of the file, as the user knows it
 * @throws ArchgapError `TEXT_NOT_UTF8`
 */
export function decodeText(bytes: Uint8Array, name: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch (cause) {
    throw inputError(
      'TEXT_NOT_UTF8',
      `"${name}" is not UTF-8 text; save it as UTF-8, or name the right file.`,
      { cause },
    );
  }
}
