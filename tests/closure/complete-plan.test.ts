import { describe, expect, it } from 'vitest';
import { completePlan } from '../../src/closure/complete-plan.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { Reason } from '../../src/closure/types.ts';
import { cancelledError } from '../../src/geometry/archgap-error.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
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
    expect(plan.reasons.find((r) => r.code === 'ROOM')?.sentence).toMatch(
      /same frame .* 2 of 2 crowns come within 1\.00 mm of it, as in a bite; whether it is shifted sideways cannot be told from the scans\.$/,
    );
    const far = { ...wall, originMm: [0, 0, 200] as const };
    const off = await completePlan(analysis, SETTINGS, { mesh, labels, opposing: far });
    expect(off.room!.teeth).toEqual([]);
    expect(off.reasons.at(-1)).toEqual({
      code: 'OPPOSING_FAR',
      sentence:
        'The opposing scan lies 198.00 mm off this arch, so the two were not exported in one frame; no room is told.',
    });
  });

  it('an opposing arch that cannot bite in this frame is not used, and each reason is told', async () => {
    const { analysis, mesh, labels } = twoBalls();
    const block = (z: number) => boxMesh([-8, -5, z], [8, 5, z + 6]);
    const tellOf = async (opposing: TriangleMesh): Promise<Reason> => {
      const surfaces = {
        mesh,
        labels,
        opposing: { ...opposing, originMm: [0, 0, 0] as const, fileName: 'o.stl' },
      };
      const plan = await completePlan(analysis, SETTINGS, surfaces);
      expect(plan.room!.teeth).toEqual([]);
      expect(plan.room!.reasons).toHaveLength(1);
      expect(plan.reasons.map(({ code }) => code)).not.toContain('ROOM');
      return plan.reasons.at(-1)!;
    };
    // No vertex of the balls lies right at their tops.
    expect(await tellOf(block(6))).toEqual({
      code: 'OPPOSING_APART',
      sentence:
        'No crown comes within 1.00 mm of the opposing arch (the nearest 3.01 mm); teeth that bite touch, so the two are not in one frame, or the bite was taken open; what room there is cannot be judged. Export both arches in one frame, with the bite, and give the opposing scan again.',
    });
    const crossing = await tellOf(block(1.2));
    expect(crossing.code).toBe('OPPOSING_CROSSES');
    expect(crossing.sentence).toMatch(
      /^2 of 2 crowns lie more than 1\.00 mm inside the opposing arch, the deepest 1\.\d\d mm; .* no room is told\. Export /,
    );
    const alike = await tellOf(mesh);
    expect(alike.code).toBe('OPPOSING_FACES_ALIKE');
    expect(alike.sentence).toMatch(
      /^The opposing arch faces the same way as this one, or its triangles face inwards, .* no room is told\. Export /,
    );
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
