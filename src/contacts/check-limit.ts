import { inputError } from '../geometry/archgap-error.ts';

/** A limit above this is no space that anyone calls closed, mm. */
const MOST_LIMIT_MM = 5;

/**
 * Refuses a limit that is no space between teeth.
 * @throws ArchgapError `LIMIT_OUT_OF_RANGE`
 */
export function checkLimit(limitMm: number): void {
  if (Number.isFinite(limitMm) && limitMm >= 0 && limitMm <= MOST_LIMIT_MM) return;
  throw inputError(
    'LIMIT_OUT_OF_RANGE',
    `The limit is ${limitMm} mm; expected a space between 0 and ${MOST_LIMIT_MM} mm that still counts as closed.`,
    { details: { limitMm } },
  );
}
