import { describe, expect, it } from 'vitest';
import { completePlan } from '../../src/closure/complete-plan.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { cancelledError } from '../../src/geometry/archgap-error.ts';
import { boxMesh } from '../helpers/closed-meshes.ts';
import { analysisOf, gapsAt } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';
import { twoBalls } from './two-balls.ts';

const SETTINGS = DEFAULT_CLOSURE_SETTINGS;

describe('the plan with all that stands beside it', () => {
  it('without surfaces: the plan of the table, and how it changes', async () => {
    const analysis = analysisOf(textbookArch(gapsAt(UPPER_14, { '16-15': 0.3, '25-26': 0.3 })));
    const plan = await completePlan(analysis, SETTINGS, null);
    const { sensitivity, ...rest } = plan;
    expect(rest).toEqual(planClosure(analysis, SETTINGS));
    expect(sensitivity?.verdict).toBe('robust');
    expect(structuredClone(plan)).toEqual(plan);
  });

  it('with surfaces the row of the proposal holds what the moved crowns measure', async () => {
    const { analysis, mesh, labels } = twoBalls();
    const plan = await completePlan(analysis, SETTINGS, { mesh, labels });
    expect(plan.proposal).toMatchObject({ from: 11, to: 21 });
    const check = plan.surfaceCheck!;
    expect(check).toMatchObject({ from: 11, to: 21, met: true });
    expect(check.measured).toHaveLength(1);
    expect(check.measured[0]!.restMm).toBeCloseTo(0.4, 2);
    expect(plan.spans[0]!.contacts[0]!.afterMm).toBe(check.measured[0]!.afterMm);
    expect(Math.abs(check.measured[0]!.afterMm)).toBeLessThanOrEqual(0.01);
    expect(plan.reasons.find((r) => r.code === 'SURFACES_MET')?.sentence).toBe(check.sentence);
    expect(plan.room).toBeUndefined();
  });

  it('walls that the measurement does not describe are not used, and that is told', async () => {
    const { analysis, mesh, labels } = twoBalls();
    const elsewhere = {
      ...analysis,
      contacts: analysis.contacts.map((contact) => ({ ...contact, nearestMm: 0.7 })),
    };
    const plan = await completePlan(elsewhere, SETTINGS, { mesh, labels });
    expect(plan.surfaceCheck!.measured).toEqual([]);
    expect(plan.surfaceCheck!.sentence).toContain('No contact of this span can be measured again');
  });

  it('with an opposing arch: room as reasons, or that it lies too far off', async () => {
    const { analysis, mesh, labels } = twoBalls();
    const wall = {
      ...boxMesh([-0.3, -5, 1], [0.7, 5, 4]),
      originMm: [0, 0, 0] as const,
      fileName: 'lower.ply',
    };
    const plan = await completePlan(analysis, SETTINGS, { mesh, labels, opposing: wall });
    expect(plan.room).toMatchObject({ from: 11, to: 21, opposing: 'lower.ply' });
    expect(plan.room!.teeth.map((t) => t.tooth)).toEqual([11, 21]);
    expect(plan.room!.teeth[0]!.roomMm).toBeLessThan(0);
    const codes = plan.reasons.map((r) => r.code);
    expect(codes).toContain('NO_ROOM');
    expect(plan.reasons.find((r) => r.code === 'ROOM')?.sentence).toContain('same frame');
    const far = { ...wall, originMm: [0, 0, 200] as const };
    const off = await completePlan(analysis, SETTINGS, { mesh, labels, opposing: far });
    expect(off.room!.teeth).toEqual([]);
    expect(off.reasons.at(-1)).toEqual({
      code: 'OPPOSING_FAR',
      sentence:
        'The opposing scan lies 198.00 mm off this arch, so the two were not exported in one frame; no room is told.',
    });
  });

  it('stops when it is told to', async () => {
    const { analysis, mesh, labels } = twoBalls();
    const stop = {
      checkpoint: async (): Promise<void> => {
        throw cancelledError();
      },
    };
    await expect(completePlan(analysis, SETTINGS, { mesh, labels }, stop)).rejects.toMatchObject({
      code: 'CANCELLED',
    });
  });
});
