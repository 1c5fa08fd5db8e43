/** Whose move it is after a failure; the command line maps it to the exit status. */
export type FaultKind = 'usage' | 'input' | 'cancelled' | 'internal';

export interface ArchgapErrorOptions {
  /** Facts behind the sentence (line, byte, count ...), plain data only. */
  readonly details?: Readonly<Record<string, string | number | boolean | null>>;
  readonly cause?: unknown;
}

/**
 * Every failure the tool reports. `code` is stable and upper-case (`STL_TRUNCATED`); `message` is one sentence
 * that says what was found, what was expected and what to do.
 */
export class ArchgapError extends Error {
  readonly code: string;
  readonly kind: FaultKind;
  readonly details: Readonly<Record<string, string | number | boolean | null>>;

  constructor(kind: FaultKind, code: string, sentence: string, options: ArchgapErrorOptions = {}) {
    super(sentence, options.cause === undefined ? undefined : { cause: options.cause });
    this.name = 'ArchgapError';
    this.kind = kind;
    this.code = code;
    this.details = options.details ?? {};
  }
}

/** The user's file, clicks or values cannot be used as they are. */
export function inputError(code: string, sentence: string, options?: ArchgapErrorOptions): ArchgapError {
  return new ArchgapError('input', code, sentence, options);
}

/**
 * A refusal of a file with the file's name before its sentence, unless the sentence has it; any other fault as it is.
 * Where several files are read, nobody could otherwise say which one is meant.
 */
export function namingFile(fault: unknown, fileName: string): unknown {
  if (!(fault instanceof ArchgapError) || fault.kind !== 'input') return fault;
  if (names(fault.message, fileName)) return fault;
  const details = { file: fileName, ...fault.details };
  return inputError(fault.code, `"${fileName}": ${fault.message}`, { details, cause: fault });
}

/** Whether a sentence names a file: a name that is a word of its own, such as "scan", counts only in quotes. */
function names(sentence: string, fileName: string): boolean {
  return /\W/.test(fileName) ? sentence.includes(fileName) : sentence.includes(`"${fileName}"`);
}

/** The command or call was worded wrongly. */
export function usageError(code: string, sentence: string, options?: ArchgapErrorOptions): ArchgapError {
  return new ArchgapError('usage', code, sentence, options);
}

/** The user stopped the work; nothing was changed. */
export function cancelledError(): ArchgapError {
  return new ArchgapError('cancelled', 'CANCELLED', 'The work was stopped; nothing was changed.');
}
