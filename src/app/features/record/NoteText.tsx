import { createSignal, createUniqueId, Show } from 'solid-js';
import { keepTyped } from '../../components/keep-typed.ts';
import { useApp } from '../../kernel/app-context.ts';
import { copyText } from '../../platform/copy-text.ts';

type Copied = 'no' | 'yes' | 'failed';

/** The text to send with the order: as the plan writes it, to edit and copy; the edited text stays with the case. */
export function NoteText() {
  const { controller } = useApp();
  const id = createUniqueId();
  const [copied, setCopied] = createSignal<Copied>('no');
  const copy = async (text: string) => setCopied((await copyText(text)) ? 'yes' : 'failed');
  /** What the plan wrote when the typing began: a plan that changes meanwhile is still told. */
  let basis: string | undefined;
  const edit = (text: string | null) => {
    setCopied('no');
    controller.editNote(text, text === null ? undefined : basis);
  };
  return (
    <Show when={controller.orderNote()}>
      {(note) => (
        <div class="note-block">
          <div class="note-head">
            <label for={id}>Note for the order</label>
            <span class="small quiet" role="status">
              {copied() === 'yes' && 'copied'}
              {copied() === 'failed' && 'The browser does not allow copying; select the text instead.'}
            </span>
            <button
              type="button"
              class="button small"
              title="Also with the key C"
              onClick={() => void copy(note().text)}
            >
              Copy
            </button>
          </div>
          <textarea
            id={id}
            class="note-text"
            rows={12}
            ref={keepTyped(() => note().text)}
            aria-describedby={note().isEdited ? `${id}-edited` : undefined}
            onFocus={() => {
              basis = note().written;
            }}
            onInput={(event) => edit(event.currentTarget.value)}
          />
          <Show when={note().isEdited}>
            <p class="small note-edited" id={`${id}-edited`}>
              <span>
                Edited by hand: what it says beyond the plan is yours.
                {note().isOld ? ' The plan has changed since; check the text against it.' : ''}
              </span>
              <button type="button" class="button small" onClick={() => edit(null)}>
                As the plan writes it
              </button>
            </p>
          </Show>
        </div>
      )}
    </Show>
  );
}
