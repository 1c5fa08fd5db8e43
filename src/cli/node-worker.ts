import process from 'node:process';
import { setFlagsFromString } from 'node:v8';
import { parentPort, Worker } from 'node:worker_threads';
import { ArchgapError, type FaultKind } from '../geometry/archgap-error.ts';
import { batchRow } from './batch-row.ts';
import type { RowOutcome, RowTask } from './batch-row-types.ts';
import type { CliIo, RowWorker } from './cli-io.ts';
import { engineFlags } from './engine-flags.ts';

/** What a thread answers: an outcome, or the fault that stops the batch. */
type Answer =
  | { readonly outcome: RowOutcome }
  | { readonly fault: { readonly kind: FaultKind; readonly code: string; readonly sentence: string } };

type Question = { readonly task: RowTask } | { readonly stop: true };

/**
 * A thread that runs the program's own file again (one file, nothing else to ship) and measures rows there. A
 * thread that dies fails the row it was at; the next row gets a new one.
 *
 * @param program - address of the built program
 * @param coresAreFull - as many threads measure as there are cores, so that the engine has none for itself
 */
export function makeNodeWorker(program: URL, signal: AbortSignal, coresAreFull: boolean): RowWorker {
  let worker: Worker | null = null;
  // They hold for the whole program and for threads that begin after them.
  if (coresAreFull) for (const flag of engineFlags(process.versions.v8)) setFlagsFromString(flag);
  const ask = (question: Question) => worker?.postMessage(question);
  const onStop = () => ask({ stop: true });
  signal.addEventListener('abort', onStop);
  return {
    run: (task) =>
      new Promise((done, fail) => {
        worker ??= new Worker(program, { argv: [], stdin: false });
        const current = worker;
        const onMessage = (answer: Answer) => {
          settle();
          if ('outcome' in answer) done(answer.outcome);
          else fail(new ArchgapError(answer.fault.kind, answer.fault.code, answer.fault.sentence));
        };
        const lose = (reason: Error) => {
          settle();
          if (worker === current) worker = null;
          fail(reason);
        };
        const onError = (cause: unknown) => lose(cause instanceof Error ? cause : new Error(String(cause)));
        const onExit = (code: number) => lose(new Error(`exit status ${code}`));
        const settle = () => {
          current.off('message', onMessage).off('error', onError).off('exit', onExit);
          // A fault that comes after the answer must not end the program.
          if (current.listenerCount('error') === 0) current.on('error', () => {});
        };
        current.on('message', onMessage).on('error', onError).on('exit', onExit);
        ask({ task });
        if (signal.aborted) onStop();
      }),
    async stop() {
      signal.removeEventListener('abort', onStop);
      await worker?.terminate();
      worker = null;
    },
  };
}

/**
 * The thread's side: measures what it is told to, one row after the other.
 * @param makeIo - the world of the thread, stopped by the signal
 */
export function serveRows(makeIo: (signal: AbortSignal) => CliIo): void {
  const port = parentPort;
  if (port === null) return;
  const stop = new AbortController();
  const io = makeIo(stop.signal);
  port.on('message', async (question: Question) => {
    if ('stop' in question) {
      stop.abort();
      return;
    }
    port.postMessage(await answer(question.task, io));
  });
}

async function answer(task: RowTask, io: CliIo): Promise<Answer> {
  try {
    return { outcome: await batchRow(task, io) };
  } catch (thrown) {
    const isOurs = thrown instanceof ArchgapError;
    return {
      fault: {
        kind: isOurs ? thrown.kind : 'internal',
        code: isOurs ? thrown.code : 'INTERNAL',
        sentence: thrown instanceof Error ? thrown.message : String(thrown),
      },
    };
  }
}
