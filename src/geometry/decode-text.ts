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
    const sentence = isWorkbook(bytes)
      ? `"${name}" is a workbook of a spreadsheet program, where text belongs; export its sheet as CSV (UTF-8) and give that file.`
      : `"${name}" is not UTF-8 text; save it as UTF-8, or name the right file.`;
    throw inputError('TEXT_NOT_UTF8', sentence, { cause });
  }
}

/** How workbooks begin and what is in each: Office Open XML and OpenDocument are zip archives, before them came .xls. */
const WORKBOOKS: readonly { readonly begins: string; readonly holds: RegExp }[] = [
  { begins: 'PK\x03\x04', holds: /xl\/workbook|opendocument\.spreadsheet/ },
  { begins: '\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1', holds: /W\0o\0r\0k\0b\0o\0o\0k\0/ },
];

function isWorkbook(bytes: Uint8Array): boolean {
  const latin1 = new TextDecoder('latin1');
  const head = latin1.decode(bytes.subarray(0, 8));
  const kind = WORKBOOKS.find(({ begins }) => head.startsWith(begins));
  return kind?.holds.test(latin1.decode(bytes)) ?? false;
}
