import type { DrawingBegin, DrawingEvent, DrawingRequest } from './drawing-messages.ts';
import { type DrawingService, makeDrawingService } from './drawing-service.ts';
import { rejectionsAreErrors } from './rejections-are-errors.ts';

/** Draws the scan away from the page's own thread, which never waits for the graphics card then. */
let service: DrawingService | null = null;

rejectionsAreErrors();
self.addEventListener('message', ({ data }: MessageEvent<DrawingBegin | DrawingRequest>) => {
  if (data.kind === 'begin')
    service = makeDrawingService(data.canvas, (event: DrawingEvent) => self.postMessage(event), true);
  else service?.answer(data);
});
