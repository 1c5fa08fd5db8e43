import type { ToothMap } from '../../teeth/types.ts';
import type { DisplayArrays, DisplayReply, DisplayRequest } from './display-messages.ts';
import { makeDisplayService } from './display-service.ts';

/** One scan that is being shown, on the side of the page. */
export interface Display {
  /** Asks for the surface under these labels; of labels that wait only the newest are answered. */
  setLabels(labels: ToothMap | null): void;
  /** Ends the worker: no reply comes afterwards. */
  stop(): void;
}

/**
 * Has a scan prepared by a worker of its own, which lives as long as the scan is shown.
 *
 * Where workers cannot start or die, the page does the same work itself: the picture then stutters, nothing else is
 * lost.
 *
 * @param onReply - gives null, or what resolves when it has done with the reply: other labels are asked for only then,
 * as arrays that are shared are compared with what came of the ones before
 */
export function openDisplay(
  scan: DisplayArrays,
  onReply: (reply: DisplayReply) => Promise<void> | null,
): Display {
  let stopped = false;
  let worker: Worker | null = null;
  let post: (request: DisplayRequest) => void = () => {};
  /** The labels that the surface bears or is being given, and those that wait for their turn. */
  let asked: ToothMap | null = null;
  let waiting: { readonly labels: ToothMap | null } | null = null;
  let busy = false;

  const askNext = (): void => {
    busy = waiting !== null;
    if (waiting === null) return;
    asked = waiting.labels;
    waiting = null;
    post({ kind: 'labels', labels: asked });
  };
  const hear = (reply: DisplayReply): void => {
    if (stopped) return;
    const done = onReply(reply);
    if (reply.kind !== 'labels') return;
    const mine = worker;
    void Promise.resolve(done).then(() => {
      // Who takes the place of a worker that died has asked already.
      if (!stopped && worker === mine) askNext();
    });
  };
  const doItHere = (why: string): void => {
    worker?.terminate();
    worker = null;
    if (stopped) return;
    console.warn(`The display worker is not available (${why}); the page prepares the view itself.`);
    const answer = makeDisplayService(hear, null);
    post = (request) => void setTimeout(() => void (stopped || answer(request)));
    post({ kind: 'scan', scan });
    // Whatever the worker had been asked for and did not answer.
    waiting ??= asked === null ? null : { labels: asked };
    askNext();
  };
  try {
    worker = new Worker(new URL('./display-worker.ts', import.meta.url), { type: 'module' });
    worker.onmessage = (event: MessageEvent<DisplayReply>) => hear(event.data);
    worker.onerror = (event) => doItHere(event.message || 'it could not start');
    worker.onmessageerror = () => doItHere('its answer could not be read');
    post = (request) => worker?.postMessage(request);
    post({ kind: 'scan', scan });
  } catch (cause) {
    doItHere(cause instanceof Error ? cause.message : 'it could not start');
  }
  return {
    setLabels(labels) {
      waiting = { labels };
      if (!busy) askNext();
    },
    stop() {
      stopped = true;
      worker?.terminate();
    },
  };
}
