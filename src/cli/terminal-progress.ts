import { cancelledError } from '../geometry/archgap-error.ts';
import type { JobControl } from '../geometry/job-control.ts';
import type { CliIo } from './cli-io.ts';

/** Redrawing more often only flickers. */
const REDRAW_MS = 100;
const CLEAR_LINE = '\r\x1b[K';

/** A job that shows one line of progress on a terminal, lets signals in and stops when told to. */
export interface TerminalJob extends JobControl {
  /** Takes the line away. */
  clear(): void;
}

export function makeTerminalJob(io: CliIo): TerminalJob {
  let lastDrawn = Number.NEGATIVE_INFINITY;
  let shown = false;
  return {
    async checkpoint(fraction, stage) {
      const now = io.now().getTime();
      if (io.err.isTerminal && now - lastDrawn >= REDRAW_MS) {
        io.err.write(`${CLEAR_LINE}${String(Math.round(fraction * 100)).padStart(3)} %  ${stage}`);
        lastDrawn = now;
        shown = true;
      }
      await io.pause();
      if (io.signal.aborted) throw cancelledError();
    },
    clear() {
      if (shown) io.err.write(CLEAR_LINE);
      shown = false;
    },
  };
}
