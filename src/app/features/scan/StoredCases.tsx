import { For, Show } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';

const WHEN = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });

/** The cases that lie on this device, to go on with or to delete. */
export function StoredCases() {
  const { controller, persistence } = useApp();
  return (
    <Show when={persistence.cases().length > 0}>
      <details class="stored" open={controller.open() === null}>
        <summary>Cases on this device ({persistence.cases().length})</summary>
        <ul class="stored-list">
          <For each={persistence.cases()}>
            {(stored) => (
              <li>
                <span class="stored-name">
                  {stored.demo ? 'Demo case' : stored.fileName}
                  <span class="quiet small"> {WHEN.format(stored.savedAt)}</span>
                </span>
                <Show
                  when={controller.open()?.id !== stored.id}
                  fallback={<span class="quiet small">open</span>}
                >
                  <button type="button" class="button small" onClick={() => persistence.openStored(stored)}>
                    Open
                  </button>
                </Show>
                <button
                  type="button"
                  class="button small quiet"
                  aria-label={`Delete ${stored.fileName} from this device`}
                  onClick={() => persistence.remove(stored.id)}
                >
                  Delete
                </button>
              </li>
            )}
          </For>
        </ul>
      </details>
    </Show>
  );
}
