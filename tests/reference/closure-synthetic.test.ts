import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { projectPoint } from '../../src/closure/plane.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ClosurePlan } from '../../src/closure/types.ts';
import { measureContacts } from '../../src/contacts/measure-contacts.ts';
import { type ContactSays, makeAnalysis } from '../closure/make-analysis.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';
import { readSyntheticCase, type SYNTHETIC_CASES, syntheticDataPresent } from '../helpers/synthetic-case.ts';

/** The plan from the true spaces and witness points of a case, as a perfect measurement would hand them over. */
function planFromTruth(name: (typeof SYNTHETIC_CASES)[number]): ClosurePlan {
  const data = readSyntheticCase(name);
  const centres = data.teeth.map((tooth) => {
    const click = data.clicks.clicks.find((c) => c.tooth === tooth)!;
    return projectPoint(data.frame, click.point);
  });
  const says = data.pairs.map(
    (pair): ContactSays =>
      pair.state === 'open'
        ? { status: 'open', valueMm: pair.true_gap_mm, u95Mm: 0.03 }
        : { status: 'closed', valueMm: null, upperBoundMm: 0.05 },
  );
  return planClosure(
    makeAnalysis({
      teeth: data.teeth,
      centres,
      pointsA: data.pairs.map((pair) => projectPoint(data.frame, pair.witness_a)),
      pointsB: data.pairs.map((pair) => projectPoint(data.frame, pair.witness_b)),
      says,
      jaw: data.jaw,
    }),
    DEFAULT_CLOSURE_SETTINGS,
  );
}

const opened = (plan: ClosurePlan, from: number, to: number): string[] =>
  plan.spans
    .find((s) => s.from === from && s.to === to)!
    .contacts.filter((c) => c.opened)
    .map((c) => `${c.toothA}-${c.toothB}`);

describe.runIf(syntheticDataPresent())('plans from the true spaces of the synthetic cases', () => {
  it('upper-three-spaces: 16-26 opens behind both first molars, 17-27 closes all', () => {
    const plan = planFromTruth('upper-three-spaces');
    expect(opened(plan, 16, 26)).toEqual(['17-16', '26-27']);
    const whole = plan.spans.find((s) => s.from === 17 && s.to === 27)!;
    expect(whole.verdict).toBe('closes-all');
    expect(opened(plan, 17, 27)).toEqual([]);
    expect(plan.answer).toBe('tighten');
    expect(plan.proposal).toMatchObject({ from: 17, to: 27 });
  });

  it('lower-all-closed: none needed', () => {
    const plan = planFromTruth('lower-all-closed');
    expect(plan.answer).toBe('none-needed');
  });

  it('lower-all-closed as measured on the scan: nothing open, but webs that only floss can look behind', async () => {
    const data = readSyntheticCase('lower-all-closed');
    const scan = makeScanFromArrays(data.mesh.positions, data.mesh.triangles);
    const analysis = await measureContacts(
      scan,
      data.clicks,
      { labels: data.labels, frame: data.frame, warnings: [] },
      { limitMm: 0.1 },
    );
    const plan = planClosure(analysis, DEFAULT_CLOSURE_SETTINGS);
    expect(plan.answer).toBe('floss-first');
    expect(plan.proposal).toBeNull();
    expect(plan.toCheck!.length).toBeGreaterThan(9);
    expect(plan.spans.every((s) => s.stages === 0)).toBe(true);
    // Floss that holds everywhere settles it.
    const floss = plan.toCheck!.map((pair) => ({ ...pair, finding: 'closed' as const }));
    expect(planClosure(analysis, { ...DEFAULT_CLOSURE_SETTINGS, floss }).answer).toBe('none-needed');
  });
});
