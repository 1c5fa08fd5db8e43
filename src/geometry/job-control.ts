/**
 * How long work stays polite: at each checkpoint it reports how far it is, lets other messages in, and stops with
 * the `CANCELLED` error when it was told to.
 */
export interface JobControl {
  /**
   * @param fraction - share of this job that is done, 0 to 1
   * @param stage - what is being done, in plain words
   * @throws ArchgapError `CANCELLED`
   */
  checkpoint(fraction: number, stage: string): Promise<void>;
}

/** For tests and the command line without a terminal: nobody watches, nobody cancels. */
export const UNATTENDED: JobControl = { checkpoint: async () => {} };

/** The part of `control` from `from` to `to`, for a step that reports its own 0 to 1. */
export function subJob(control: JobControl, from: number, to: number): JobControl {
  return { checkpoint: (fraction, stage) => control.checkpoint(from + (to - from) * fraction, stage) };
}
