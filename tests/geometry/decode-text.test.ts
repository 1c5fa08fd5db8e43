import { strToU8, zipSync } from 'fflate';
import { expect, it } from 'vitest';
import { decodeText } from '../../src/geometry/decode-text.ts';

const sheet = {
  'xl/worksheets/sheet1.xml': strToU8('<worksheet/>'),
  'xl/workbook.xml': strToU8('<workbook/>'),
};
/** The first bytes of the file, then the name of the stream in it, two bytes a character. */
const before2007 = Uint8Array.from([
  ...[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1],
  ...new Uint8Array(600),
  ...[...'Workbook'].flatMap((letter) => [letter.charCodeAt(0), 0]),
]);
const openDocument = zipSync({
  mimetype: [strToU8('application/vnd.oasis.opendocument.spreadsheet'), { level: 0 }],
  'content.xml': strToU8('<office/>'),
});

it('gives the text of UTF-8', () => {
  expect(decodeText(new TextEncoder().encode('größe'), 't.csv')).toBe('größe');
});

it.each([
  ['xlsx', zipSync(sheet)],
  ['xls', before2007],
  ['ods', openDocument],
])('says of a workbook that it is one, and what to do: %s', (_, bytes) => {
  expect(() => decodeText(bytes, 'table')).toThrow(
    expect.objectContaining({
      code: 'TEXT_NOT_UTF8',
      message:
        '"table" is a workbook of a spreadsheet program, where text belongs; export its sheet as CSV (UTF-8) and give that file.',
    }),
  );
});

it.each([
  ['text of another encoding', Uint8Array.from([0x67, 0x72, 0xf6, 0xdf, 0x65])],
  ['another archive', zipSync({ 'word/document.xml': strToU8('<document/>') })],
])('says no more than that of %s', (_, bytes) => {
  expect(() => decodeText(bytes, 'table')).toThrow(
    expect.objectContaining({
      code: 'TEXT_NOT_UTF8',
      message: '"table" is not UTF-8 text; save it as UTF-8, or name the right file.',
    }),
  );
});
