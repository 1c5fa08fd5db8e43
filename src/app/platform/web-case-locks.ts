import { type CaseLocks, type HeldCase, NO_LOCKS } from '../kernel/case-locks.ts';

/** A page that was reloaded may find its own lock not yet given back, ms. */
const PATIENCE_MS = 1000;
/** A tab that was asked has this long to save and let go, ms. */
const ANSWER_MS = 4000;

/** The locks of this browser's tabs: Web Locks hold a case, a broadcast asks for it. */
export function makeWebCaseLocks(): CaseLocks {
  if (!('locks' in navigator) || !('BroadcastChannel' in window)) return NO_LOCKS;
  const channel = new BroadcastChannel('archgap-cases');
  const held = new Set<string>();
  let lost: (id: string) => void = () => {};

  /** Resolves as soon as the lock is there; the lock lasts until it is released. */
  function request(id: string, options: LockOptions): Promise<HeldCase> {
    return new Promise((resolve, reject) => {
      navigator.locks
        .request(
          `archgap-case-${id}`,
          options,
          () =>
            new Promise<void>((done) => {
              held.add(id);
              resolve({
                release: () => {
                  held.delete(id);
                  done();
                },
              });
            }),
        )
        .catch((fault: unknown) => {
          // Rejects while it is held only when another tab took it by force.
          if (held.delete(id)) lost(id);
          reject(fault);
        });
    });
  }

  return {
    take: (id) => request(id, { signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => null),
    async takeOver(id) {
      channel.postMessage(id);
      return request(id, { signal: AbortSignal.timeout(ANSWER_MS) }).catch(() =>
        request(id, { steal: true }),
      );
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
