import { createSignal, For, Show } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';
import { type StoredCase, storedName } from '../../kernel/case-storage.ts';
import { counted } from '../../kernel/words.ts';

let format: Intl.DateTimeFormat | undefined;

/** Day and time as they are written here, of milliseconds since 1970. The formatter is made when it is first needed, as that takes a while. */
function when(time: number): string {
  format ??= new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });
  return format.format(time);
}

/** The cases that lie on this device, to go on with or to delete. */
export function StoredCases() {
  const { controller, persistence } = useApp();
  return (
    <Show when={persistence.cases().length + persistence.unreadable() > 0}>
      <details class="stored" open={controller.open() === null}>
        <summary>Cases on this device ({persistence.cases().length})</summary>
        <ul class="stored-list">
          <For each={persistence.cases()}>{(stored) => <StoredRow stored={stored} />}</For>
        </ul>
        <Show when={persistence.unreadable() > 0}>
          <p class="small quiet">
            {counted(persistence.unreadable(), 'more case was', 'more cases were')} saved by another version
            of this page and can’t be read by this one; they are left as they are.
          </p>
        </Show>
      </details>
    </Show>
  );
}

/** One case. Deleting asks once more in place: it cannot be undone. */
function StoredRow(props: { readonly stored: StoredCase }) {
  const { controller, persistence } = useApp();
  const [asked, setAsked] = createSignal(false);
  const name = () => storedName(props.stored);
  return (
    <li>
      <span class="stored-name">
        {name()}
        <span class="quiet small"> {when(props.stored.savedAt)}</span>
      </span>
      <Show
        when={asked()}
        fallback={
          <>
            <Show
              when={controller.open()?.id !== props.stored.id}
              fallback={<span class="quiet small">open</span>}
            >
              <button
                type="button"
                class="button small"
                onClick={() => void persistence.openStored(props.stored)}
              >
                Open
              </button>
            </Show>
            <button
              type="button"
              class="button small quiet"
              aria-label={`Delete ${name()} from this device`}
              onClick={() => setAsked(true)}
            >
              Delete …
            </button>
          </>
        }
      >
        <button
          type="button"
          class="button small"
          aria-label={`Delete ${name()} for good`}
          ref={(button) => queueMicrotask(() => button.focus())}
          onClick={() => void persistence.remove(props.stored.id)}
        >
          Delete for good
        </button>
        <button type="button" class="button small quiet" onClick={() => setAsked(false)}>
          Keep
        </button>
      </Show>
    </li>
  );
}
