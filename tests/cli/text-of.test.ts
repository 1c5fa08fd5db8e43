import { expect, it } from 'vitest';
import { textOf } from '../../src/cli/text-of.ts';
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
