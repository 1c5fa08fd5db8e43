/**
 * A turn of the event loop, so that waiting messages are delivered. A message of its own, as browsers hold back timers
 * that set timers by 4 ms each, and all timers of pages that are not in front by a second and more.
 */
export function nextTurn(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(null);
  });
}
