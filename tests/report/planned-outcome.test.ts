import { describe, expect, it } from 'vitest';
import { writePlanJson } from '../../src/report/plan-json.ts';
import { plannedOutcome } from '../../src/report/planned-outcome.ts';
import { readPlanJson } from '../../src/report/read-plan-json.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan } from '../helpers/make-plan.ts';

describe('what a plan lets a later scan expect', () => {
  it('is the same as is read from the plan.json of that plan', () => {
    const analysis = threeSpaces();
    const plan = makePlan(analysis);
    const read = readPlanJson(writePlanJson(plan, analysis, { version: '1.2.3', resultSha256: null }));
    expect(read.planned.length).toBeGreaterThan(0);
    const made = plannedOutcome(plan, analysis);
    expect(made?.span).toEqual(read.span);
    expect(made?.planned).toHaveLength(read.planned.length);
    for (const [k, space] of read.planned.entries()) {
      expect(made?.planned[k]).toMatchObject({ toothA: space.toothA, toothB: space.toothB });
      expect(made?.planned[k]?.afterMm).toBeCloseTo(space.afterMm, 6);
      if (space.countedMm === null) expect(made?.planned[k]?.countedMm).toBeNull();
      else expect(made?.planned[k]?.countedMm).toBeCloseTo(space.countedMm, 6);
    }
  });

  it('is nothing where the plan proposes nothing', () => {
    expect(plannedOutcome({ ...makePlan(threeSpaces()), proposal: null }, threeSpaces())).toBeNull();
  });
});
