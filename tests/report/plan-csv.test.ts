import { describe, expect, it } from 'vitest';
import { countedFrom, writePlanCsv } from '../../src/report/plan-csv.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan, makeSpan } from '../helpers/make-plan.ts';

describe('writePlanCsv', () => {
  it('has the columns of the contract and a row per span and contact', () => {
    const analysis = threeSpaces();
    const plan = makePlan(analysis, {
      spans: [makeSpan(analysis, 16, 26, 0.15), makeSpan(analysis, 17, 27, 0)],
    });
    const lines = writePlanCsv(plan).split('\n');
    expect(lines[0]).toBe('span,contact,before_mm,after_mm,counted_from');
    expect(lines).toHaveLength(1 + 2 * 13 + 1);
    expect(lines[1]).toBe('16-26,17-16,,0.15,nothing');
    expect(lines[5]).toBe('16-26,13-12,0.25,0,scan');
    expect(lines[26]).toBe('17-27,26-27,,0,nothing');
  });

  it('says where a space was counted from what floss said', () => {
    const [contact] = makeSpan(threeSpaces(), 17, 27, 0).contacts;
    expect(countedFrom({ ...contact!, beforeMm: null, countedMm: 0.1, floss: 'open' })).toBe('floss');
    expect(countedFrom({ ...contact!, beforeMm: 0.09, countedMm: 0, floss: 'closed' })).toBe('floss');
    expect(countedFrom({ ...contact!, beforeMm: 0.4, countedMm: 0.4, floss: 'closed' })).toBe('scan');
    // A web too thin to hide anything is closed by the scan; floss does not change what the plan counts there.
    const thin = { ...contact!, status: 'closed', beforeMm: null, countedMm: 0, floss: 'open' } as const;
    expect(countedFrom(thin)).toBe('nothing');
  });
});
