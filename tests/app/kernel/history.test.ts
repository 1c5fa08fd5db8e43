import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { record, redo, retract, startHistory, undo } from '../../../src/app/kernel/history.ts';

describe('history', () => {
  it('goes back and forth', () => {
    const h = record(record(startHistory('a'), 'b'), 'c');
    expect(undo(h).present).toBe('b');
    expect(undo(undo(h)).present).toBe('a');
    expect(undo(undo(undo(h))).present).toBe('a');
    expect(redo(undo(h)).present).toBe('c');
    expect(redo(h).present).toBe('c');
  });

  it('takes a row of changes with one tag as one step', () => {
    const dragged = record(record(record(startHistory(0), 1, 'limit'), 2, 'limit'), 3, 'limit');
    expect(dragged.present).toBe(3);
    expect(undo(dragged).present).toBe(0);
    const apart = record(record(dragged, 4, 'stages'), 5, 'limit');
    expect(undo(apart).present).toBe(4);
    expect(undo(undo(apart)).present).toBe(3);
  });

  it('does not continue a tag across an undo', () => {
    const h = record(undo(record(record(startHistory(0), 1), 2, 'limit')), 7, 'limit');
    expect(undo(h).present).toBe(1);
  });

  it('offers nothing for redo after a new change or a retracted one', () => {
    const h = record(undo(record(startHistory(1), 2)), 3);
    expect(redo(h).present).toBe(3);
    expect(redo(retract(h)).present).toBe(1);
  });

  it('records nothing when nothing changed', () => {
    const value = { clicks: [] };
    expect(record(startHistory(value), value).past).toHaveLength(0);
  });

  it('undo is the inverse of record, redo of undo', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.integer(), { minLength: 2, maxLength: 40 }), (values) => {
        let h = startHistory(values[0]);
        for (const value of values.slice(1)) h = record(h, value);
        const seen = [h.present];
        for (let i = 1; i < values.length; i++) {
          h = undo(h);
          seen.push(h.present);
        }
        expect(seen).toEqual(values.toReversed());
        for (let i = 1; i < values.length; i++) h = redo(h);
        expect(h.present).toBe(values.at(-1));
      }),
      { seed: 20, numRuns: 50 },
    );
  });
});
