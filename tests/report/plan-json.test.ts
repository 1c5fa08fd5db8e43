import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { writePlanJson } from '../../src/report/plan-json.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan, makeSpan } from '../helpers/make-plan.ts';

const schema = JSON.parse(
  readFileSync(new URL('../../docs/schemas/archgap-plan-1.json', import.meta.url), 'utf8'),
);
const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(schema);

describe('writePlanJson', () => {
  it('satisfies the published JSON Schema, with and without a proposal', () => {
    expect.assertions(3);
    const analysis = threeSpaces();
    const infeasible = { ...makeSpan(analysis, 13, 23, 0, null), stagesNeeded: null, arch: null, teeth: [] };
    const without = makePlan(analysis, { answer: 'new-plan', proposal: null, spans: [infeasible] });
    const whole = makePlan(analysis, {
      sensitivity: {
        verdict: 'depends',
        draws: 200,
        hidden: null,
        untried: 0,
        sameSpanShare: 0.7,
        sameStagesShare: 0.6,
        stagesRange: [2, 3],
        outcomes: [{ answer: 'new-plan', from: null, to: null, share: 0.3 }],
        dependsOn: [
          { kind: 'space', toothA: 23, toothB: 24 },
          { kind: 'resistance', tooth: 24 },
        ],
        sentence: 'Depends on 23-24.',
      },
      surfaceCheck: {
        from: 17,
        to: 27,
        met: true,
        rounds: 2,
        worstMissMm: 0.004,
        deepestOverlapMm: 0,
        measured: [{ toothA: 13, toothB: 12, restMm: 0.22, afterMm: 0.001 }],
        sentence: 'Measured again.',
      },
      room: {
        from: 17,
        to: 27,
        opposing: 'lower.ply',
        teeth: [{ tooth: 11, motionMm: 0.2, freePathMm: null, roomMm: null }],
        reasons: [{ code: 'ROOM', sentence: 'There is room.' }],
      },
    });
    for (const plan of [makePlan(analysis), whole, without]) {
      validate(JSON.parse(writePlanJson(plan, analysis, { version: '0.1.0', resultSha256: null })));
      expect(validate.errors ?? []).toEqual([]);
    }
  });

  it('says what the contract asks for', () => {
    const analysis = threeSpaces();
    const resultSha256 = '0123456789abcdef'.repeat(4);
    const document = JSON.parse(
      writePlanJson(makePlan(analysis), analysis, { version: '0.1.0', resultSha256 }),
    );
    validate(document);
    expect(validate.errors ?? []).toEqual([]);
    expect(document.result_sha256).toBe(resultSha256);
    expect(document.schema).toBe('archgap-plan/1');
    expect(document.proposal).toMatchObject({ from: '17', to: '27', stages: 3 });
    expect(document.proposal.reasons[0]).toEqual({
      code: 'CLOSES_ALL',
      sentence: '17 to 27 closes every open contact and opens none.',
    });
    expect(document.common_practice).toMatchObject({ from: '17', to: '27', agrees: true });
    const span = document.spans[3];
    expect(span).toMatchObject({ from: '16', to: '26', stages: 3, verdict: 'opens-others' });
    expect(span.contacts[0]).toMatchObject({
      a: '17',
      b: '16',
      before_mm: null,
      after_mm: 0.15,
      opened: true,
    });
    expect(span.teeth[0].rotation_deg).toBeCloseTo((0.004 * 180) / Math.PI, 5);
    expect(span.arch).toMatchObject({ perimeter_change_mm: -1.2, molar_width_change_mm: null });
    expect(document.settings.per_stage_deg).toBeCloseTo(1.2, 9);
  });
});
