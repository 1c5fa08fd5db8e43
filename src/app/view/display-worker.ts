import type { DisplayReply, DisplayRequest } from './display-messages.ts';
import { prepareDisplay } from './prepare-display.ts';

/** Prepares a scan for the view away from the page's own thread: 280 000 triangles take a few tenths of a second. */
self.addEventListener('message', (event: MessageEvent<DisplayRequest>) => {
  prepareDisplay(event.data, (reply: DisplayReply) => {
    const owned: Transferable[] =
      reply.kind === 'shade'
        ? [reply.shade.buffer]
        : [...reply.tree.roots, reply.tree.indirect.buffer as ArrayBuffer];
    self.postMessage(reply, { transfer: owned });
  });
});
