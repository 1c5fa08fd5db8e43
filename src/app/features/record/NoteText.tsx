import { createSignal, createUniqueId, Show } from 'solid-js';
import { writeClosureNote } from '../../../report/closure-note.ts';
import { useApp } from '../../kernel/app-context.ts';

type Copied = 'no' | 'yes' | 'failed';

/** The text to send with the order, to read and copy. */
export function NoteText() {
  const { controller, preferences } = useApp();
  const { analysis, plan } = controller.results;
  const id = createUniqueId();
  const [copied, setCopied] = createSignal<Copied>('no');
  const text = () => {
    const measured = analysis();
    const made = plan();
    return measured && made ? writeClosureNote(made, measured, preferences.numbering()) : null;
  };
  const copy = async (note: string) => {
    try {
      await navigator.clipboard.writeText(note);
      setCopied('yes');
    } catch {
      setCopied('failed');
    }
  };
  return (
    <Show when={text()}>
      {(note) => (
        <div class="note-block">
          <div class="note-head">
            <label for={id}>Note for the order</label>
            <span class="small quiet" role="status">
              {copied() === 'yes' && 'copied'}
              {copied() === 'failed' && 'The browser does not allow copying; select the text instead.'}
            </span>
            <button type="button" class="button small" onClick={() => copy(note())}>
              Copy
            </button>
          </div>
          <textarea id={id} class="note-text" readonly rows={10} value={note()} />
        </div>
      )}
    </Show>
  );
}
