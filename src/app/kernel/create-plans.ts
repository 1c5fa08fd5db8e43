import { type Accessor, createEffect, createSignal, on, onCleanup, untrack } from 'solid-js';
import type { ClosurePlan, ClosureSettings } from '../../closure/types.ts';
import type { Analysis } from '../../contacts/types.ts';
import type { AnalysisClient } from './analysis-client.ts';
import { createJob, type Job } from './create-job.ts';

/** Rest before a plan that follows another change so soon, ms: a slider that is dragged asks for many. */
const PLAN_REST_MS = 150;

/** A plan with what it was made for. */
interface Planned {
  readonly plan: ClosurePlan;
  readonly analysis: Analysis;
  readonly settings: ClosureSettings;
  /** Also worked out with other inputs, on the moved crowns, and against the opposing arch. */
  readonly complete: boolean;
}

/** What tightening would do: a first plan at once, then the same one completed. */
interface Plans {
  readonly planned: Accessor<Planned | null>;
  readonly isOld: Accessor<boolean>;
  /** What a plan is completed with has changed. */
  completeAgain(): void;
  forget(): void;
  readonly jobs: { readonly plan: Job; readonly check: Job };
}

interface PlanSources {
  readonly client: AnalysisClient;
  readonly scanId: Accessor<string | null>;
  readonly analysis: Accessor<Analysis | null>;
  readonly settings: Accessor<ClosureSettings>;
  /** What was measured on the opposing arch: its widths are among the reasons of a plan. */
  readonly otherMeasured: Accessor<Analysis | null>;
}

export function createPlans({ client, scanId, analysis, settings, otherMeasured }: PlanSources): Plans {
  const jobs = { plan: createJob(), check: createJob() };
  const [planned, setPlanned] = createSignal<Planned | null>(null);
  const completeAgain = () => {
    setPlanned((current) => current && { ...current, complete: false });
  };

  let changedMs = Number.NEGATIVE_INFINITY;
  createEffect(
    on([analysis, settings], ([current, wanted]) => {
      // What is completed is a plan of before: it would run beside all that is dragged and come too late.
      jobs.check.cancel();
      if (!current) return setPlanned(null);
      const nowMs = performance.now();
      const rest = nowMs - changedMs < PLAN_REST_MS ? PLAN_REST_MS : 0;
      changedMs = nowMs;
      const timer = setTimeout(async () => {
        const made = await jobs.plan.run('Trying the spans', () => client.plan(current, wanted));
        if (made && analysis() === current)
          setPlanned({ plan: made, analysis: current, settings: wanted, complete: false });
      }, rest);
      onCleanup(() => clearTimeout(timer));
    }),
  );
  createEffect(on(otherMeasured, completeAgain, { defer: true }));
  /** Made for the analysis and the settings of now. */
  const isOf = (made: Planned) => made.analysis === analysis() && made.settings === settings();
  createEffect(
    on(planned, async (current) => {
      jobs.check.cancel();
      const scan = scanId();
      if (!current || current.complete || scan === null || !untrack(() => isOf(current))) return;
      const plan = await jobs.check.run('Measuring the plan on the moved crowns', (watch) =>
        client.completePlan(scan, current.analysis, current.settings, untrack(otherMeasured), watch),
      );
      if (plan && planned() === current) setPlanned({ ...current, plan, complete: true });
    }),
  );

  return {
    planned,
    isOld: () => {
      const made = planned();
      return made !== null && !isOf(made);
    },
    completeAgain,
    forget: () => setPlanned(null),
    jobs,
  };
}
