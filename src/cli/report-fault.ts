import { ArchgapError, type FaultKind } from '../geometry/archgap-error.ts';

/** Exit statuses as the contract gives them; 130 is what shells report for a program stopped by SIGINT. */
export const EXIT = { done: 0, failedItems: 1, usage: 2, input: 3, internal: 4, cancelled: 130 } as const;

const STATUS_OF_KIND: Readonly<Record<FaultKind, number>> = {
  usage: EXIT.usage,
  input: EXIT.input,
  internal: EXIT.internal,
  cancelled: EXIT.cancelled,
};

/** What goes to standard error, and the status to exit with. */
export interface FaultReport {
  readonly line: string;
  readonly status: number;
}

/**
 * One line for a failure, never a stack trace.
 * @param asJson - a JSON object instead of `archgap: CODE: sentence`
 */
export function reportFault(fault: unknown, asJson: boolean, version: string): FaultReport {
  const error = fault instanceof ArchgapError ? fault : unexpected(fault, version);
  const status = STATUS_OF_KIND[error.kind];
  const sentence = oneLine(error.message);
  const line = asJson
    ? JSON.stringify({
        code: error.code,
        kind: error.kind,
        sentence,
        exit_status: status,
        details: error.details,
      })
    : `archgap: ${error.code}: ${sentence}`;
  return { line: `${line}\n`, status };
}

function unexpected(fault: unknown, version: string): ArchgapError {
  const what = fault instanceof Error ? `${fault.name}: ${fault.message}` : String(fault);
  return new ArchgapError(
    'internal',
    'INTERNAL',
    `Archgap ${version} failed where it should not (${what}). No half-written result was left behind; please report this with the command line.`,
    { cause: fault },
  );
}

/** File names may hold line breaks and control characters; a message is one line. */
function oneLine(text: string): string {
  return text.replace(/\p{Cc}+/gu, ' ').trim();
}
