import { describe, expect, it } from 'vitest';
import { inputError } from '../../src/geometry/archgap-error.ts';
import { errorIn, sentenceIn, teethDetail } from '../../src/teeth/sentence-in.ts';

describe('a sentence in another numbering', () => {
  // Universal numbers: ISO 3950 and ANSI/ADA Specification 3950 name the same 32 teeth; 18 is 1, 28 is 16, 48 is 32.
  it('names every tooth it is about anew, all at once', () => {
    const one = { sentence: 'Along the arch the teeth stand as 12, 11, 21: 12 and 11.', teeth: [11, 12, 21] };
    expect(sentenceIn(one, 'universal')).toBe('Along the arch the teeth stand as 7, 8, 9: 7 and 8.');
    expect(sentenceIn(one, 'iso')).toBe(one.sentence);
    expect(sentenceIn({ sentence: 'Is 46 missing?', teeth: [46] }, 'universal')).toBe('Is 30 missing?');
    // 18 becomes 1 and 21 becomes 9; neither result is taken for a tooth again.
    expect(sentenceIn({ sentence: '28-18', teeth: [18, 28, 16] }, 'universal')).toBe('16-1');
  });

  it('leaves measures, decimals, files and other numbers alone', () => {
    const sentence = '"11.stl": tooth 11 lies 11 mm off, at 11.2 and 3.11 mm, 11 % of 111 in case11.';
    expect(sentenceIn({ sentence, teeth: [11] }, 'universal')).toBe(
      '"11.stl": tooth 8 lies 11 mm off, at 11.2 and 3.11 mm, 11 % of 111 in case11.',
    );
    expect(sentenceIn({ sentence: 'Only 14 mm² were found for 14, where', teeth: [14] }, 'universal')).toBe(
      'Only 14 mm² were found for 5, where',
    );
  });

  it.each([
    ['Crown 16: 16 edges where three or more meet.', 'Crown 3: 16 edges where three or more meet.'],
    ['Crown 16: 16 open edges lie there.', 'Crown 3: 16 open edges lie there.'],
    ['Crown 16: it has 16 vertices; at 16 points.', 'Crown 3: it has 16 vertices; at 16 points.'],
    ['16 and 16 edgewise', '3 and 3 edgewise'],
  ])('leaves what counts parts of a mesh alone: %s', (sentence, told) => {
    expect(sentenceIn({ sentence, teeth: [16] }, 'universal')).toBe(told);
  });

  it('leaves names of files alone, whatever numbers they are made of', () => {
    const sentence =
      '"11 after.json": crown-11-final.stl and 11.PLY (21 new.stl) show 11 and 21 (11-21) at "11".';
    expect(sentenceIn({ sentence, teeth: [11, 21] }, 'universal')).toBe(
      '"11 after.json": crown-11-final.stl and 11.PLY (21 new.stl) show 8 and 9 (8-9) at "11".',
    );
  });

  it('a sentence that names no tooth stays as it is', () => {
    expect(sentenceIn({ sentence: 'At 11 places.' }, 'universal')).toBe('At 11 places.');
  });

  it('reads the teeth of an error from its details', () => {
    const single = inputError('X', 'Tooth 16 has two clicks.', { details: { tooth: 16, apartMm: 16 } });
    expect(errorIn(single, 'universal')).toBe('Tooth 3 has two clicks.');
    const row = inputError('X', '13, then 14.', { details: { teeth: teethDetail([13, 14]) } });
    expect(errorIn(row, 'universal')).toBe('6, then 5.');
    expect(errorIn(inputError('X', 'Tooth 16.'), 'universal')).toBe('Tooth 16.');
  });
});
