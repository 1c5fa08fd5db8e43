import { nextTurn } from '../../geometry/next-turn.ts';
import { buffersOf, type DrawingBegin, type DrawingEvent, type DrawingRequest } from './drawing-messages.ts';

/** Where the scan is drawn: by a worker, or by the page where that cannot be. */
export type DrawnBy = 'worker' | 'page';

/** A canvas under everything else in its host, as large as the host, and whoever draws on it. */
export interface Drawing {
  readonly canvas: HTMLCanvasElement;
  /** Arrays that are not shared go over to whoever draws. */
  ask(request: DrawingRequest): void;
  /** Nothing is heard of it afterwards. */
  dispose(): void;
}

/**
 * `gone`: the worker cannot draw, or has died; another drawing, made by the page, has to take its place. `failed`: the
 * page's own code for it could not be fetched or begun; nothing else is said then.
 */
export type DrawingNews =
  | DrawingEvent
  | { readonly kind: 'gone'; readonly why: string }
  | { readonly kind: 'failed' };

/**
 * @param by - a worker only where the browser lets one draw (`canDrawApart`)
 * @param hear - never called before this has returned
 */
export function openDrawing(host: HTMLElement, by: DrawnBy, hear: (news: DrawingNews) => void): Drawing {
  const canvas = document.createElement('canvas');
  canvas.className = 'scan-view-canvas';
  return by === 'worker' ? drawnByWorker(host, canvas, hear) : drawnByPage(host, canvas, hear);
}

/** Whether this browser lets a worker draw on a canvas of the page; whether with WebGL only the worker can tell. */
export function canDrawApart(): boolean {
  return typeof Worker !== 'undefined' && 'transferControlToOffscreen' in HTMLCanvasElement.prototype;
}

function drawnByWorker(
  host: HTMLElement,
  canvas: HTMLCanvasElement,
  hear: (news: DrawingNews) => void,
): Drawing {
  let disposed = false;
  const gone = (why: string): void => {
    if (!disposed) hear({ kind: 'gone', why });
  };
  let worker: Worker | null = null;
  try {
    worker = new Worker(new URL('./drawing-worker.ts', import.meta.url), { type: 'module' });
    worker.onmessage = ({ data }: MessageEvent<DrawingEvent>) =>
      data.kind === 'unavailable' ? gone('it has no WebGL') : hear(data);
    worker.onerror = (event) => gone(event.message || 'it could not start');
    worker.onmessageerror = () => gone('its answer could not be read');
    host.prepend(canvas);
    const offscreen = canvas.transferControlToOffscreen();
    worker.postMessage({ kind: 'begin', canvas: offscreen } satisfies DrawingBegin, [offscreen]);
  } catch (cause) {
    // Some browsers refuse a worker by throwing at once.
    queueMicrotask(() => gone(cause instanceof Error ? cause.message : 'it could not start'));
  }
  return {
    canvas,
    ask: (request) => worker?.postMessage(request, buffersOf(request)),
    dispose() {
      disposed = true;
      if (worker !== null) {
        worker.onmessage = null;
        worker.onerror = null;
        worker.onmessageerror = null;
        worker.terminate();
      }
      canvas.remove();
    },
  };
}

/**
 * The page's thread waits for the graphics process while it gets its context, and while what draws is made: each has a
 * task of its own.
 */
function drawnByPage(
  host: HTMLElement,
  canvas: HTMLCanvasElement,
  hear: (news: DrawingNews) => void,
): Drawing {
  /** Requests that came before there was anybody to answer them. */
  const early: DrawingRequest[] = [];
  let disposed = false;
  let answer = (request: DrawingRequest): void => void early.push(request);
  let end = (): void => {};
  const tell = (event: DrawingEvent): void => {
    if (disposed) return;
    // Each frame that shows an empty canvas is read back where there is no graphics card.
    if (event.kind === 'drawn') canvas.style.visibility = '';
    hear(event);
  };
  const begin = async (): Promise<void> => {
    const { CONTEXT, makeDrawingService } = await import('./drawing-service.ts');
    await nextTurn();
    if (disposed) return;
    // It has a size before its context: the page would wait for a context that changes while it sets itself up.
    canvas.width = host.clientWidth || 1;
    canvas.height = host.clientHeight || 1;
    canvas.getContext('webgl2', CONTEXT);
    await nextTurn();
    if (disposed) return;
    canvas.style.visibility = 'hidden';
    const service = makeDrawingService(canvas, tell, false);
    if (service === null) return;
    host.prepend(canvas);
    answer = service.answer;
    end = service.dispose;
    for (const request of early.splice(0)) answer(request);
  };
  begin().catch((cause: unknown) => {
    console.warn('What draws the scan could not be made.', cause);
    if (!disposed) hear({ kind: 'failed' });
  });
  return {
    canvas,
    ask: (request) => answer(request),
    dispose() {
      disposed = true;
      end();
      canvas.remove();
    },
  };
}
