import { describe, expect, it } from 'vitest';
import type { ContactStatus } from '../../src/contacts/types.ts';
import { renderStatusGlyph, statusSymbol } from '../../src/report/status-glyph.ts';

const ALL: readonly ContactStatus[] = [
  'open',
  'undecided',
  'closed',
  'bridged',
  'overlap',
  'missing-tooth',
  'not-measurable',
];

describe('statusSymbol', () => {
  it('gives every status another outline, whatever its colour', () => {
    const paths = ALL.map((status) => statusSymbol(status, 0, 0).path);
    expect(new Set(paths).size).toBe(ALL.length);
  });
});

describe('renderStatusGlyph', () => {
  it('stays inside its box of 14', () => {
    for (const status of ALL) {
      const path = /d="([^"]*)"/.exec(renderStatusGlyph(status))![1]!;
      if (status === 'open') continue;
      for (const number of path.match(/-?[\d.]+/g)!.map(Number)) {
        expect(number).toBeGreaterThanOrEqual(0);
        expect(number).toBeLessThanOrEqual(14);
      }
    }
  });
});
