import { type Accessor, createSignal } from 'solid-js';
import { ArchgapError } from '../../geometry/archgap-error.ts';
import type { JobWatch } from './analysis-client.ts';

export type JobState =
  | { readonly kind: 'idle' }
  | { readonly kind: 'running'; readonly fraction: number | null; readonly stage: string }
  | { readonly kind: 'failed'; readonly error: ArchgapError };

/** One kind of work of the page, of which at most one runs at a time. */
export interface Job {
  readonly state: Accessor<JobState>;
  /**
   * Runs `work`; a run that is still going is cancelled first and its outcome is dropped. Resolves to null when
   * the run failed (the state says why), was cancelled or overtaken.
   */
  run<T>(stage: string, work: (watch: JobWatch) => Promise<T | null>): Promise<T | null>;
  /** Stops the running work; nothing is said about it. */
  cancel(): void;
  /** Takes a failure off the screen. */
  clear(): void;
}

const IDLE: JobState = { kind: 'idle' };

export function createJob(): Job {
  const [state, setState] = createSignal<JobState>(IDLE);
  let current: AbortController | null = null;

  async function run<T>(stage: string, work: (watch: JobWatch) => Promise<T | null>): Promise<T | null> {
    current?.abort();
    const mine = new AbortController();
    current = mine;
    setState({ kind: 'running', fraction: null, stage });
    const onProgress: JobWatch['onProgress'] = (progress) => {
      if (current === mine) setState({ kind: 'running', ...progress });
    };
    /** False when another run has taken the place of this one. */
    const end = () => {
      if (current !== mine) return false;
      current = null;
      return true;
    };
    let result: T | null;
    try {
      result = await work({ onProgress, signal: mine.signal });
    } catch (thrown) {
      if (!end()) return null;
      const error = asArchgapError(thrown);
      // A fault of our own: the sentence helps the user, this helps whoever looks for it.
      if (error.kind === 'internal') console.error(error.code, error.details, error.stack);
      setState(error.kind === 'cancelled' ? IDLE : { kind: 'failed', error });
      return null;
    }
    if (!end()) return null;
    try {
      setState(IDLE);
    } catch (fault) {
      // What listens to the state threw: a fault of the page, told as one; the work itself is done.
      queueMicrotask(() => {
        throw fault;
      });
    }
    return result;
  }

  function cancel(): void {
    current?.abort();
    current = null;
    setState(IDLE);
  }

  return { state, run, cancel, clear: () => state().kind === 'failed' && setState(IDLE) };
}

/** Anything thrown, as the error that the page knows how to show. */
function asArchgapError(thrown: unknown): ArchgapError {
  if (thrown instanceof ArchgapError) return thrown;
  const text = thrown instanceof Error ? `${thrown.name}: ${thrown.message}` : String(thrown);
  return new ArchgapError(
    'internal',
    'INTERNAL',
    'Something went wrong in the page; the case is as it was before.',
    {
      details: { thrown: text },
      cause: thrown,
    },
  );
}
