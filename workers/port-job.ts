import { cancelledError } from '../src/geometry/archgap-error.ts';
import type { JobControl } from '../src/geometry/job-control.ts';
import { nextTurn } from '../src/geometry/next-turn.ts';
import { CANCEL_MESSAGE, type JobProgress, PROGRESS_INTERVAL_MS } from './analysis-api.ts';

/** Longest stretch of work between two looks at the mailbox, ms: short enough that a cancel feels immediate. */
const YIELD_INTERVAL_MS = 25;

/**
 * A {@link JobControl} whose watcher sits at the other end of a message port. Progress is throttled; letting
 * messages in costs a trip through the event loop, so that too happens only every {@link YIELD_INTERVAL_MS}.
 */
export function portJob(port: MessagePort, now: () => number = () => performance.now()): JobControl {
  let cancelled = false;
  let reportedAt = Number.NEGATIVE_INFINITY;
  let reportedStage = '';
  let yieldedAt = now();
  port.onmessage = (event: MessageEvent<unknown>) => {
    if (event.data === CANCEL_MESSAGE) cancelled = true;
  };
  return {
    checkpoint: async (fraction, stage) => {
      const time = now();
      if (time - reportedAt >= PROGRESS_INTERVAL_MS || stage !== reportedStage) {
        reportedAt = time;
        reportedStage = stage;
        port.postMessage({ fraction, stage } satisfies JobProgress);
      }
      if (time - yieldedAt >= YIELD_INTERVAL_MS) {
        await nextTurn();
        yieldedAt = now();
      }
      if (cancelled) throw cancelledError();
    },
  };
}
