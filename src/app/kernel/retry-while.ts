import { type Accessor, createEffect, createMemo, on, onCleanup } from 'solid-js';

/** Rest before the first further try and the longest between two, ms; each is twice the one before. */
const FIRST_REST_MS = 5_000;
const LONGEST_REST_MS = 60_000;

/**
 * Does something again and again, more and more seldom, for as long as it is needed: what comes right without a sign from
 * the browser, as room on a device does.
 *
 * @param isNeeded - whether it has not come right yet
 * @param act - one try; told to nobody where it throws
 */
export function retryWhile(isNeeded: Accessor<boolean>, act: () => Promise<void>): void {
  createEffect(
    on(createMemo(isNeeded), (needed) => {
      if (!needed) return;
      let rest = FIRST_REST_MS;
      let isOver = false;
      const once = async () => {
        await act().catch(() => {});
        if (isOver) return;
        rest = Math.min(2 * rest, LONGEST_REST_MS);
        timer = setTimeout(once, rest);
      };
      let timer = setTimeout(once, rest);
      onCleanup(() => {
        isOver = true;
        clearTimeout(timer);
      });
    }),
  );
}
