import type { ContactStatus } from '../../contacts/types.ts';

/**
 * One mark per contact state, shaped as in the contact plot: told apart by shape, not by colour alone. Paths live in
 * a box from -7 to 7.
 */
export interface StatusMark {
  /** SVG path. */
  readonly path: string;
  /** Filled with the state's colour, or drawn with it on the page's paper. */
  readonly filled: boolean;
}

const CROSS = 'M-4-4L4 4M-4 4L4-4';

export const STATUS_MARKS: Record<ContactStatus, StatusMark> = {
  open: { path: 'M-5 0a5 5 0 1 0 10 0a5 5 0 1 0-10 0Z', filled: true },
  undecided: { path: 'M0-6L6 0L0 6L-6 0Z', filled: false },
  closed: { path: 'M-4.2-4.2H4.2V4.2H-4.2Z', filled: true },
  bridged: { path: 'M-3.5-6H3.5V6H-3.5ZM-3.5 0L3.5-6M-3.5 6L3.5 0', filled: false },
  overlap: { path: 'M-6-5H6L0 6Z', filled: true },
  'missing-tooth': { path: CROSS, filled: false },
  'not-measurable': { path: CROSS, filled: false },
};
