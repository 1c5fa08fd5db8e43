import { Show } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';

/** One sentence about the case as a whole, until it is dismissed. */
export function Notice() {
  const { controller } = useApp();
  return (
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
  );
}
