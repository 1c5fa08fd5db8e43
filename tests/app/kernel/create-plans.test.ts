import { createRoot, createSignal } from 'solid-js';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { JobWatch } from '../../../src/app/kernel/analysis-client.ts';
import { createPlans } from '../../../src/app/kernel/create-plans.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../../src/closure/settings.ts';
import type { Analysis } from '../../../src/contacts/types.ts';
import { fakeAnalysis, makeFakeClient } from './fake-client.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const CLICKS = { jaw: 'upper', clicks: [], missing: [], fixed: [] } as const;

function start(client = makeFakeClient()) {
  return createRoot((end) => {
    const [analysis, setAnalysis] = createSignal<Analysis | null>(null);
    const plans = createPlans({
      client,
      scanId: () => 'scan-1',
      analysis,
      settings: () => DEFAULT_CLOSURE_SETTINGS,
      otherMeasured: () => null,
    });
    const asked = () => client.calls.filter((call) => call === 'plan').length;
    return { decide: (limitMm: number) => setAnalysis(fakeAnalysis(CLICKS, limitMm)), plans, asked, end };
  });
}

describe('createPlans', () => {
  it('plans at once what was just measured', async () => {
    const { decide, plans, asked, end } = start();
    decide(0.1);
    await vi.advanceTimersByTimeAsync(0);
    expect([asked(), plans.planned()?.complete]).toEqual([1, true]);
    end();
  });

  it('plans once more after a run of changes, and not for each of them', async () => {
    const { decide, plans, asked, end } = start();
    for (let k = 0; k < 10; k++) {
      decide(0.1 + 0.01 * k);
      await vi.advanceTimersByTimeAsync(50);
    }
    expect(asked()).toBe(1);
    expect(plans.isOld()).toBe(true);
    await vi.advanceTimersByTimeAsync(150);
    expect(asked()).toBe(2);
    expect(plans.isOld()).toBe(false);
    end();
  });

  it('a plan of before is not completed beside the changes that follow it', async () => {
    const client = makeFakeClient();
    const begun: JobWatch[] = [];
    const slow: typeof client = {
      ...client,
      completePlan: (...asked) => {
        begun.push(asked[4]);
        return new Promise(() => {});
      },
    };
    const { decide, plans, end } = start(slow);
    decide(0.1);
    await vi.advanceTimersByTimeAsync(0);
    expect(begun.map(({ signal }) => signal.aborted)).toEqual([false]);
    decide(0.11);
    expect(begun.map(({ signal }) => signal.aborted)).toEqual([true]);
    // The plan is old until the next one is there: nothing it is completed with makes it worth completing.
    plans.completeAgain();
    await vi.advanceTimersByTimeAsync(100);
    expect(begun).toHaveLength(1);
    await vi.advanceTimersByTimeAsync(100);
    expect(begun.map(({ signal }) => signal.aborted)).toEqual([true, false]);
    expect(plans.isOld()).toBe(false);
    end();
  });
});
