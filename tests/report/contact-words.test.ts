import { describe, expect, it } from 'vitest';
import { NOTE_CODES } from '../../src/contacts/types.ts';
import {
  describeContact,
  listWords,
  noteWords,
  pairLabel,
  spaceWords,
} from '../../src/report/contact-words.ts';
import { makeContact } from '../helpers/make-analysis.ts';

describe('pairLabel', () => {
  it('follows the numbering', () => {
    expect([pairLabel(13, 12, 'iso'), pairLabel(13, 12, 'universal'), pairLabel(13, 12, 'palmer')]).toEqual([
      '13-12',
      '6-7',
      'UR3-UR2',
    ]);
  });
});

describe('spaceWords', () => {
  it('says what is known and never a number for a bridged contact', () => {
    const said = (spec: Parameters<typeof makeContact>[2]) => spaceWords(makeContact(13, 12, spec));
    expect(said({ status: 'open', gapMm: 0.31, u95Mm: 0.06 })).toBe('0.31 ± 0.06 mm');
    expect(said({ status: 'bridged', upperBoundMm: 0.27 })).toBe('0 to 0.27 mm could hide here');
    expect(said({ status: 'not-measurable', upperBoundMm: 0.31 })).toBe('at most 0.31 mm');
    expect(said({ status: 'not-measurable' })).toBe('no number');
    expect(said({ status: 'missing-tooth' })).toBe('no tooth between');
  });
});

describe('describeContact', () => {
  it('is one short line', () => {
    const contact = makeContact(11, 21, { status: 'open', gapMm: 0.352, u95Mm: 0.031 });
    expect(describeContact(contact, 'iso')).toBe('11-21 open, 0.35 ± 0.03 mm');
  });
});

describe('noteWords', () => {
  it('explains known codes and keeps unknown ones', () => {
    expect(noteWords('near-gum')).toMatch(/gum/);
    expect(noteWords('brand-new-code')).toBe('brand-new-code');
    for (const code of NOTE_CODES) expect(noteWords(code)).toMatch(/^[a-z].* .* .*[a-z0-9°]$/);
  });
});

describe('listWords', () => {
  it('joins as people do', () => {
    expect([[], ['a'], ['a', 'b'], ['a', 'b', 'c']].map(listWords)).toEqual([
      '',
      'a',
      'a and b',
      'a, b and c',
    ]);
  });
});
