import { Show } from 'solid-js';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/**
 * One sentence about the case as a whole, until it is dismissed; and why a file that came onto the page of an open case
 * was refused, which has to be seen wherever the worksheet is scrolled to. Before a case is open the welcome says it.
 */
export function Notice() {
  const { controller } = useApp();
  const refused = () =>
    controller.openJob.state().kind === 'failed' &&
    controller.open() !== null &&
    controller.sealed() === null;
  return (
    <>
      <Show when={refused()}>
        <div class="refused-file">
          <JobLine job={controller.openJob} />
        </div>
      </Show>
      <Show when={controller.notice()}>
        <div class="notice" role="status">
          <span>{controller.notice()}</span>
          <button
            type="button"
            class="icon-button"
            aria-label="Dismiss"
            onClick={() => controller.setNotice(null)}
          >
            ×
          </button>
        </div>
      </Show>
    </>
  );
}
