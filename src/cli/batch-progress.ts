import type { RowOutcome } from './batch-row-types.ts';
import type { CliIo } from './cli-io.ts';

const CLEAR_LINE = '\r\x1b[K';

/** How a batch stands, told in one line on a terminal. */
interface BatchProgress {
  readonly counts: { readonly measured: number; readonly kept: number; readonly failed: number };
  tell(outcome: RowOutcome): void;
  /** Before anything is merged: how many rows were held against the scans of the list. */
  tellCompared(compared: number): void;
  clear(): void;
}

export function makeBatchProgress(total: number, io: CliIo): BatchProgress {
  const counts = { measured: 0, kept: 0, failed: 0 };
  const began = io.now().getTime();
  let shown = false;
  const show = (line: string) => {
    if (!io.err.isTerminal) return;
    io.err.write(`${CLEAR_LINE}${line}`);
    shown = true;
  };
  const draw = () => show(progressLine(counts, total, io.now().getTime() - began));
  draw();
  return {
    counts,
    tell(outcome) {
      counts[outcome.kind] += 1;
      draw();
    },
    tellCompared: (compared) => show(`${compared} of ${total} scans compared with the list`),
    clear() {
      if (shown) io.err.write(CLEAR_LINE);
      shown = false;
    },
  };
}

/**
 * `12 of 40 scans, 1 failed, about 3 min left`. Rows that were kept cost next to nothing, so that the time left is
 * reckoned from the others.
 */
export function progressLine(
  { measured, kept, failed }: BatchProgress['counts'],
  total: number,
  elapsedMs: number,
): string {
  const finished = measured + kept + failed;
  const worked = measured + failed;
  const parts = [`${finished} of ${total} scans`];
  if (kept > 0) parts.push(`${kept} unchanged`);
  if (failed > 0) parts.push(`${failed} failed`);
  if (worked > 0 && finished < total)
    parts.push(`about ${duration((elapsedMs / worked) * (total - finished))} left`);
  return parts.join(', ');
}

function duration(ms: number): string {
  const seconds = Math.max(1, Math.round(ms / 1000));
  if (seconds < 90) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  return minutes < 120 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
