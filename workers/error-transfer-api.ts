import { type TransferHandler, transferHandlers } from 'comlink';
import { ArchgapError, type FaultKind } from '../src/geometry/archgap-error.ts';

/** An {@link ArchgapError} as plain data. */
interface CarriedError {
  readonly archgap: true;
  readonly kind: FaultKind;
  readonly code: string;
  readonly message: string;
  readonly details: ArchgapError['details'];
  readonly stack: string | undefined;
}

let installed = false;

/**
 * Teaches comlink to carry {@link ArchgapError} across: without this only name, message and stack arrive, and the
 * page could not tell a wrong file from a fault of its own. To be called once on either side before the first
 * call. Anything else that is thrown in a worker arrives as `INTERNAL`, with its message among the details.
 */
export function installErrorTransfer(): void {
  if (installed) return;
  const original = transferHandlers.get('throw') as TransferHandler<{ value: unknown }, unknown>;
  transferHandlers.set('throw', {
    canHandle: original.canHandle,
    serialize: ({ value }: { value: unknown }) => [carry(value), []],
    deserialize: (carried: CarriedError): never => {
      const error = new ArchgapError(carried.kind, carried.code, carried.message, {
        details: carried.details,
      });
      if (carried.stack !== undefined) error.stack = carried.stack;
      throw error;
    },
  } as TransferHandler<{ value: unknown }, CarriedError>);
  installed = true;
}

function carry(value: unknown): CarriedError {
  const error = value instanceof ArchgapError ? value : internalFault(value);
  return {
    archgap: true,
    kind: error.kind,
    code: error.code,
    message: error.message,
    details: error.details,
    stack: error.stack,
  };
}

/** An unforeseen exception: our fault, said so, with what is needed to find it. */
function internalFault(value: unknown): ArchgapError {
  const thrown = value instanceof Error ? `${value.name}: ${value.message}` : String(value);
  const fault = new ArchgapError(
    'internal',
    'INTERNAL',
    'Something went wrong inside the calculation; the case is as it was before.',
    { details: { thrown }, cause: value },
  );
  if (value instanceof Error && value.stack !== undefined) fault.stack = value.stack;
  return fault;
}
