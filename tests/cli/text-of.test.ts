import { describe, expect, it } from 'vitest';
import { parsedText, textOf } from '../../src/cli/text-of.ts';
import { inputError } from '../../src/geometry/archgap-error.ts';
import { sphereCrownFiles } from '../helpers/sphere-crowns.ts';

it('gives the text of text', () => {
  expect(textOf(new TextEncoder().encode('{"größe": 1}'), 'c.json')).toBe('{"größe": 1}');
});

it('calls a scan what it is, and says of other bytes that they are no UTF-8', () => {
  const scan = Object.values(sphereCrownFiles(1))[0]!;
  expect(() => textOf(scan, 's.stl')).toThrow(
    expect.objectContaining({
      code: 'TEXT_NOT_UTF8',
      message:
        '"s.stl" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.',
    }),
  );
  expect(() => textOf(new Uint8Array([0x7b, 0xe4, 0x7d]), 'l.json')).toThrow(
    expect.objectContaining({ code: 'TEXT_NOT_UTF8', message: expect.stringContaining('save it as UTF-8') }),
  );
});

describe('parsedText', () => {
  const parse = (text: string) => {
    if (text.startsWith('{')) return JSON.parse(text) as unknown;
    throw inputError('CLICKS_NOT_JSON', 'No JSON.');
  };
  const read = (text: string) => parsedText(new TextEncoder().encode(text), 's.stl', parse);
  const refused = (message: string) => expect.objectContaining({ code: 'CLICKS_NOT_JSON', message });

  it('gives what the text holds', () => {
    expect(read('{"a": 1}')).toEqual({ a: 1 });
  });

  it.each([
    ['STL', 'solid upper jaw\r\n facet normal 0 0 1\n'],
    ['PLY', 'ply\nformat ascii 1.0\ncomment made up\n'],
  ])('calls a scan that is written as text what it is, with the code of what was expected: %s', (_, text) => {
    expect(() => read(text)).toThrow(
      refused(
        '"s.stl" is a scan, where a file of text (JSON or CSV) belongs; check which file stands where.',
      ),
    );
  });

  it.each(['solid,gap_mm\n1,0.2\n', 'ply\n0.2\n', 'solid\nwhite\n', ''])('lets other text be: %j', (text) => {
    expect(() => read(text)).toThrow(refused('No JSON.'));
  });
});
