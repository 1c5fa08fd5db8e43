import type { DisplayReply, DisplayRequest } from './display-messages.ts';
import { prepareDisplay } from './prepare-display.ts';

/**
 * Has a scan prepared by a worker of its own, which ends with the job.
 *
 * Where workers cannot start or die, the page does the same work itself, a little later and in one go: the picture
 * then stutters once, nothing else is lost.
 *
 * @returns call it to stop: no reply comes afterwards
 */
export function requestDisplay(request: DisplayRequest, onReply: (reply: DisplayReply) => void): () => void {
  let stopped = false;
  const reply = (message: DisplayReply): void => {
    if (!stopped) onReply(message);
  };
  let worker: Worker | null = null;
  const doItHere = (why: string): void => {
    worker?.terminate();
    worker = null;
    if (stopped) return;
    console.warn(`The display worker is not available (${why}); the page prepares the view itself.`);
    setTimeout(() => {
      if (!stopped) prepareDisplay(request, reply);
    });
  };
  try {
    worker = new Worker(new URL('./display-worker.ts', import.meta.url), { type: 'module' });
    worker.onmessage = (event: MessageEvent<DisplayReply>) => {
      reply(event.data);
      if (event.data.kind === 'tree') worker?.terminate();
    };
    worker.onerror = (event) => doItHere(event.message || 'it could not start');
    worker.onmessageerror = () => doItHere('its answer could not be read');
    worker.postMessage(request);
  } catch (cause) {
    doItHere(cause instanceof Error ? cause.message : 'it could not start');
  }
  return () => {
    stopped = true;
    worker?.terminate();
  };
}
