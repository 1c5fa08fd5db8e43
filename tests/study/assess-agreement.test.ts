import { describe, expect, it } from 'vitest';
import { assessAgreement } from '../../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../../src/study/repeated-measurements.ts';

const ANY = { value: null, target: null, by: null };

/** Two operators, two sessions, five targets; one of them bridged once. */
function table(): string {
  const lines = ['id,operator,session,status,gap_mm'];
  for (const [o, operator] of ['A', 'B'].entries())
    for (const session of [1, 2])
      for (let id = 1; id <= 5; id += 1) {
        const bridged = id === 5 && operator === 'B' && session === 2;
        const value = id / 10 + o / 100 + (id * session) / 1000;
        lines.push(`m${id},${operator},${session},${bridged ? 'bridged,' : `open,${value}`}`);
      }
  return `${lines.join('\n')}\n`;
}

describe('assessAgreement', () => {
  const found = assessAgreement(repeatedMeasurements([{ name: 't', text: table() }], ANY));

  it('compares all occasions, then each factor with the other held', () => {
    expect(found.map(({ name, occasions }) => [name, occasions])).toEqual([
      ['all', ['A 1', 'A 2', 'B 1', 'B 2']],
      ['operator, session 1', ['A', 'B']],
      ['operator, session 2', ['A', 'B']],
      ['session, operator A', ['1', '2']],
      ['session, operator B', ['1', '2']],
    ]);
    expect(found[0]!.figures!.pairs.map(({ first, second }) => `${first}${second}`)).toEqual([
      '01',
      '02',
      '03',
      '12',
      '13',
      '23',
    ]);
    expect(found[1]!.figures!.pairs[0]!.bias.value).toBeCloseTo(-0.01, 12);
  });

  it('leaves out what has no number, says how often and why, and fills nothing in', () => {
    expect(found.map(({ targets, leftOut }) => [targets.length, leftOut])).toEqual([
      [4, 1],
      [5, 0],
      [4, 1],
      [5, 0],
      [4, 1],
    ]);
    expect([found[0]!.reasons, found[0]!.numberOnSome]).toEqual([{ bridged: 1 }, 1]);
  });

  it('gives no figures for fewer than three targets', () => {
    const text = 'id,operator,gap_mm\na,A,1\na,B,2\nb,A,2\nb,B,3\nc,A,1\nc,B,\n';
    const [all] = assessAgreement(repeatedMeasurements([{ name: 't', text }], ANY));
    expect([all!.figures, all!.refusal]).toEqual([
      null,
      'Only 2 of 3 targets have a number on every occasion; expected at least 3.',
    ]);
  });
});
