import { describe, expect, it } from 'vitest';
import { writePlanJson } from '../../src/report/plan-json.ts';
import { readPlanJson } from '../../src/report/read-plan-json.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan } from '../helpers/make-plan.ts';

describe('readPlanJson', () => {
  const plan = makePlan(threeSpaces());
  const text = writePlanJson(plan, threeSpaces(), { version: '0.1.0', resultSha256: 'ab'.repeat(32) });

  it('gives the proposed span and what it expects at every contact', () => {
    const read = readPlanJson(text);
    expect(read.span).toEqual({
      from: String(plan.proposal!.from),
      to: String(plan.proposal!.to),
      stages: plan.proposal!.stages,
    });
    const span = plan.spans.find(({ from, to }) => from === plan.proposal!.from && to === plan.proposal!.to)!;
    expect(read.planned).toEqual(
      span.contacts.map(({ toothA, toothB, beforeMm, afterMm, afterMaxStagesMm }) => ({
        toothA,
        toothB,
        countedMm: beforeMm === null ? null : expect.closeTo(beforeMm, 6),
        afterMm: expect.closeTo(afterMaxStagesMm ?? afterMm, 6),
      })),
    );
    expect(read.sha256).toEqual(threeSpaces().sources.map(({ sha256 }) => sha256));
  });

  it('takes what floss found as what the plan counted from', () => {
    const raw = JSON.parse(text);
    for (const span of raw.spans) {
      const contact = span.contacts.find(({ a }: { a: string }) => a === '22');
      Object.assign(contact, { before_mm: null, counted_from: 'floss', counted_mm: 0.25 });
    }
    const at = readPlanJson(JSON.stringify(raw)).planned.find(({ toothA }) => toothA === 22)!;
    expect(at.countedMm).toBe(0.25);
  });

  it('expects nothing of a plan that proposes nothing', () => {
    const none = JSON.stringify({ ...JSON.parse(text), proposal: null });
    expect(readPlanJson(none)).toMatchObject({ span: null, planned: [] });
  });

  it.each([
    ['no JSON', 'plan'],
    ['another schema', '{"schema":"archgap-result/1"}'],
    ['a span that is not there', JSON.stringify({ ...JSON.parse(text), spans: [] })],
  ])('refuses %s', (_, wrong) => {
    expect(() => readPlanJson(wrong)).toThrowError(expect.objectContaining({ code: 'PLAN_INVALID' }));
  });
});
