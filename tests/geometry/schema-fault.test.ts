import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { schemaFault } from '../../src/geometry/schema-fault.ts';

const schema = v.object({
  jaw: v.picklist(['upper', 'lower']),
  clicks: v.array(v.object({ tooth: v.string(), point: v.tuple([v.number(), v.number()]) })),
  note: v.optional(v.object({ size: v.pipe(v.number(), v.maxValue(5)) })),
});

function said(value: unknown): string {
  const result = v.safeParse(schema, value);
  if (result.success) throw new Error('nothing is wrong with it');
  return schemaFault(result.issues[0], schema);
}

describe('what a schema finds wrong, in words', () => {
  it('a field that is not there is missing, with what was expected in its place', () => {
    expect(said({})).toBe('it is missing; expected "upper" or "lower"');
    expect(said({ jaw: 'upper' })).toBe('it is missing; expected a list');
    expect(said({ jaw: 'upper', clicks: [{ point: [1, 2] }] })).toBe('it is missing; expected a text');
    expect(said({ jaw: 'upper', clicks: [{ tooth: '11', point: [1] }] })).toBe(
      'it is missing; expected a number',
    );
    expect(said({ jaw: 'upper', clicks: [], note: {} })).toBe('it is missing; expected a number');
  });

  it('a value of another kind is named beside what was expected', () => {
    expect(said(null)).toBe('expected an object, found nothing (null)');
    expect(said({ jaw: 'middle' })).toBe('expected "upper" or "lower", found "middle"');
    expect(said({ jaw: 'upper', clicks: {} })).toBe('expected a list, found an object');
    expect(said({ jaw: 'upper', clicks: [{ tooth: 11, point: [1, 2] }] })).toBe('expected a text, found 11');
  });

  it('a value out of range is named with the range, and a check of our own keeps its words', () => {
    expect(said({ jaw: 'upper', clicks: [], note: { size: 7 } })).toBe('expected at most 5, found 7');
    const whole = v.pipe(v.number(), v.integer());
    expect(schemaFault(v.safeParse(whole, 2.5).issues![0], whole)).toBe(
      'expected a valid integer, found 2.5',
    );
    const long = v.pipe(v.string(), v.maxLength(3));
    expect(schemaFault(v.safeParse(long, 'four').issues![0], long)).toBe(
      'expected a length of at most 3, found 4',
    );
    const own = v.pipe(v.string(), v.minLength(1, 'expected a name'));
    const result = v.safeParse(own, '');
    expect(result.issues).toHaveLength(1);
    expect(schemaFault(result.issues![0], own)).toBe('expected a name');
  });
});
