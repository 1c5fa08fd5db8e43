import { For, Show } from 'solid-js';
import { ErrorLine } from '../../components/ErrorLine.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';
import type { Notice as Said } from '../../kernel/create-notices.ts';

/**
 * One sentence about the case as a whole, until it is dismissed or another scan comes; what failed with cases that are
 * no longer open, until it is dismissed; and why a file that came onto the page of an open case was refused, which has to
 * be seen wherever the worksheet is scrolled to. Before a case is open the welcome says it.
 */
export function Notice() {
  const { controller } = useApp();
  const refused = () => {
    const state = controller.openJob.state();
    if (state.kind !== 'failed' || controller.open() === null || controller.sealed() !== null) return false;
    // That the calculation stopped for good is said once, with what it means for the case.
    return state.error.code !== 'WORKER_STOPPED' || controller.notice()?.kind !== 'failed';
  };
  const said = (kind: Said['kind']) => {
    const notice = controller.notice();
    return notice?.kind === kind ? notice.sentence : null;
  };
  return (
    <>
      <Show when={refused()}>
        <div class="refused-file">
          <JobLine job={controller.openJob} />
        </div>
      </Show>
      <For each={controller.lasting()}>
        {(sentence) => (
          <div class="refused-file">
            <ErrorLine sentence={sentence} onDismiss={() => controller.dismissLasting(sentence)} />
          </div>
        )}
      </For>
      <Show when={said('failed')}>
        {(sentence) => (
          <div class="refused-file">
            <ErrorLine sentence={sentence()} onDismiss={controller.dismissNotice} />
          </div>
        )}
      </Show>
      <Show when={said('told')}>
        {(sentence) => (
          <div class="notice" role="status">
            <span>{sentence()}</span>
            <button type="button" class="icon-button" aria-label="Dismiss" onClick={controller.dismissNotice}>
              ×
            </button>
          </div>
        )}
      </Show>
    </>
  );
}
