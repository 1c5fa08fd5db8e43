import { giveBack } from '../../geometry/give-back.ts';
import { type DisplayReply, type DisplayRequest, ownedBuffers } from './display-messages.ts';
import { makeDisplayService } from './display-service.ts';
import { rejectionsAreErrors } from './rejections-are-errors.ts';
import { simplifyApart } from './simplify-client.ts';

/** Prepares what the view draws and picks, away from the page's own thread. */
const answer = makeDisplayService(
  (reply: DisplayReply) => self.postMessage(reply, { transfer: ownedBuffers(reply) }),
  simplifyApart,
);
rejectionsAreErrors();
self.addEventListener('message', async ({ data }: MessageEvent<DisplayRequest>) => {
  await answer(data);
  if (data.kind === 'labels' && data.labels !== null) giveBack(data.labels);
});
