import { type CaseLocks, type HeldCase, NO_LOCKS } from '../kernel/case-locks.ts';

/** A refused lock is asked for again after this rest, ms. */
const REST_MS = 250;
/** Times that is done: a page that was reloaded may find its own lock not yet given back ... */
const PATIENCE = 4;
/** ... and a tab that was asked for a case needs time to save and close it. */
const ANSWER = 16;

/** The locks of this browser's tabs: Web Locks hold a case, a broadcast asks for it. */
export function makeWebCaseLocks(): CaseLocks {
  if (!('locks' in navigator) || !('BroadcastChannel' in window)) return NO_LOCKS;
  const channel = new BroadcastChannel('archgap-cases');
  const held = new Set<string>();
  let lost: (id: string) => void = () => {};

  /** Null when another tab has the lock; it lasts until it is released. */
  function request(id: string, options: LockOptions): Promise<HeldCase | null> {
    return new Promise((resolve, reject) => {
      const granted = (lock: Lock | null) => {
        if (lock === null) return resolve(null);
        held.add(id);
        return new Promise<void>((done) =>
          resolve({
            release: () => {
              held.delete(id);
              done();
            },
          }),
        );
      };
      navigator.locks.request(`archgap-case-${id}`, options, granted).catch((fault: unknown) => {
        // Rejects while it is held only when another tab took it by force.
        if (held.delete(id)) lost(id);
        reject(fault);
      });
    });
  }

  /** Asks until there is an answer to be had; by counts, not by time: a busy page must not lose its own case. */
  async function patiently(id: string, times: number): Promise<HeldCase | null> {
    for (let k = 0; ; k++) {
      const lock = await request(id, { ifAvailable: true });
      if (lock || k >= times) return lock;
      await new Promise((rested) => setTimeout(rested, REST_MS));
    }
  }

  return {
    take: (id) => patiently(id, PATIENCE),
    async takeOver(id) {
      channel.postMessage(id);
      return (await patiently(id, ANSWER)) ?? (await request(id, { steal: true }));
    },
    onAsked: (answer) => {
      channel.onmessage = ({ data }: MessageEvent<unknown>) => {
        if (typeof data === 'string' && held.has(data)) void answer(data);
      };
    },
    onLost: (tell) => {
      lost = tell;
    },
  };
}
