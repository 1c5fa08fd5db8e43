import type { JobControl } from './job-control.ts';

/** How far a piece of work is (0 to 1) and what it is doing, in plain words. */
interface Step {
  readonly fraction: number;
  readonly stage: string;
}

/**
 * Long work written once, as a generator that pauses at its checkpoints: it runs politely under a `JobControl`
 * or straight through where nobody waits.
 */
export type Steps<T> = Generator<Step, T, void>;

/**
 * Runs the work, passing every pause to `control`.
 *
 * @throws ArchgapError `CANCELLED` from the control; the generator is closed first
 */
export async function runInSteps<T>(steps: Steps<T>, control: JobControl): Promise<T> {
  try {
    for (;;) {
      const next = steps.next();
      if (next.done) return next.value;
      await control.checkpoint(next.value.fraction, next.value.stage);
    }
  } finally {
    steps.return(undefined as never);
  }
}

/** Runs the work to its end without a pause. */
export function runAtOnce<T>(steps: Steps<T>): T {
  for (;;) {
    const next = steps.next();
    if (next.done) return next.value;
  }
}

/** The same work, its 0 to 1 moved to `from` to `to` of a larger job. */
export function* partOf<T>(steps: Steps<T>, from: number, to: number): Steps<T> {
  for (;;) {
    const next = steps.next();
    if (next.done) return next.value;
    yield { fraction: from + (to - from) * next.value.fraction, stage: next.value.stage };
  }
}
