import { describe, expect, it } from 'vitest';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { countStages } from '../../src/closure/stages.ts';

const S = DEFAULT_CLOSURE_SETTINGS;
const moved = (dx: number, dy = 0, theta = 0) => ({ dx, dy, theta });

describe('stages of a motion', () => {
  it.each([
    // 0.25 mm per stage, 80 % expressed: 0.2 mm happen per stage.
    [0, 0],
    [0.001, 1],
    [0.2, 1],
    [0.21, 2],
    [0.4, 2],
    [0.6, 3],
  ])('%s mm needs %s', (travel, stages) => {
    expect(countStages([moved(travel)], S)).toMatchObject({
      needed: stages,
      ordered: stages,
      share: 1,
    });
  });

  it('the largest motion decides, its direction does not matter', () => {
    const count = countStages([moved(0.1), moved(0.24, 0.32), moved(0.2)], S);
    expect(count).toMatchObject({ needed: 2, body: 1, by: 'motion' });
  });

  it('a turn counts by its own limit: 2 degrees at 1.2 degrees per stage and 80 %', () => {
    const turn = (2 * Math.PI) / 180;
    expect(countStages([moved(0.05), moved(0, 0, -turn)], S)).toMatchObject({
      needed: 3,
      body: 1,
      by: 'turn',
    });
  });

  it('beyond the most stages: none ordered, the share of the motion that happens is told', () => {
    const count = countStages([moved(1.2)], S);
    expect(count).toMatchObject({ needed: 6, ordered: null });
    expect(count.share).toBeCloseTo(0.5, 12);
  });

  it('rounding does not add a stage', () => {
    expect(countStages([moved(0.1 + 0.2)], { ...S, perStageMm: 0.1, expression: 1 }).needed).toBe(3);
  });
});
