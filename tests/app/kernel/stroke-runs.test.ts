import { describe, expect, it } from 'vitest';
import { strokeRuns } from '../../../src/app/kernel/stroke-runs.ts';
import type { Click } from '../../../src/teeth/types.ts';

const click = (tooth: Click['tooth'], x: number): Click => ({ tooth, point: [x, 0, 0] });

describe('strokeRuns', () => {
  it('finds rows of close clicks for one tooth or gum, without the first click of the tooth', () => {
    const clicks = [
      click(11, 0),
      click(11, 0.5),
      click(11, 1),
      click(21, 1.5),
      click('gum', 2),
      click('gum', 2.5),
      click('gum', 9),
    ];
    expect(strokeRuns(clicks)).toEqual([
      { from: 1, to: 2 },
      { from: 4, to: 5 },
    ]);
  });

  it('leaves single corrections alone', () => {
    expect(strokeRuns([click(11, 0), click(11, 3), click('gum', 3.2), click(11, 5)])).toEqual([]);
    expect(strokeRuns([])).toEqual([]);
  });
});
