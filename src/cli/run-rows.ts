import { ArchgapError, cancelledError } from '../geometry/archgap-error.ts';
import { batchRow } from './batch-row.ts';
import type { RowOutcome, RowTask } from './batch-row-types.ts';
import type { CliIo } from './cli-io.ts';

/**
 * Measures rows on several threads; each thread holds one scan at a time, so memory does not grow with the list.
 *
 * @param jobs - most threads
 * @param onRow - told after every row
 * @throws ArchgapError `CANCELLED`, or the fault of the disk that stopped all; rows done until then stay
 */
export async function runRows(
  tasks: readonly RowTask[],
  jobs: number,
  io: CliIo,
  onRow: (outcome: RowOutcome) => void,
): Promise<void> {
  let next = 0;
  let stopped = false;
  const threads = Math.min(jobs, tasks.length);
  const lane = async (): Promise<void> => {
    const worker = io.startWorker(threads >= io.cores);
    try {
      while (next < tasks.length && !stopped) {
        if (io.signal.aborted) throw cancelledError();
        const task = tasks[next]!;
        next += 1;
        let outcome: RowOutcome;
        try {
          outcome = await worker.run(task);
        } catch (thrown) {
          if (thrown instanceof ArchgapError) throw thrown;
          outcome = await batchRow({ ...task, fault: lostThread(thrown) }, io);
        }
        onRow(outcome);
      }
    } finally {
      stopped ||= next < tasks.length;
      await worker.stop();
    }
  };
  const lanes = Array.from({ length: threads }, lane);
  const ends = await Promise.allSettled(lanes);
  const fault = ends.find((end) => end.status === 'rejected');
  if (fault) throw fault.reason;
}

function lostThread(thrown: unknown): { code: string; sentence: string } {
  const what = thrown instanceof Error ? thrown.message : String(thrown);
  return {
    code: 'THREAD_LOST',
    sentence: `The thread that measured the scan ended (${what}); the scan may need more memory than there is. Try it with archgap measure, or the batch with fewer --jobs.`,
  };
}
