import type { JobControl } from '../src/geometry/job-control.ts';
import { CANCEL_MESSAGE } from './analysis-api.ts';
import { portJob } from './port-job.ts';

/** Work that nobody waits for: begun after a rest, done in pauses of which a call can begin, given up when one does. */
export function practise(work: (control: JobControl) => Promise<void>, restMs: number): { stop(): void } {
  const { port1, port2 } = new MessageChannel();
  const control = portJob(port2);
  let hasBegun = false;
  const resting = setTimeout(async () => {
    hasBegun = true;
    try {
      await work(control);
    } catch {
      // Cancelled, or it failed as the first real work will: that one says so.
    } finally {
      port1.close();
    }
  }, restMs);
  return {
    stop() {
      if (hasBegun) return port1.postMessage(CANCEL_MESSAGE);
      clearTimeout(resting);
      port1.close();
    },
  };
}
