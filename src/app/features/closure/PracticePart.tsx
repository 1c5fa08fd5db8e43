import { createSignal, createUniqueId, For, Show } from 'solid-js';
import { departures, type Practice } from '../../../closure/practice.ts';
import { ArchgapError, namingFile } from '../../../geometry/archgap-error.ts';
import { keepTyped } from '../../components/keep-typed.ts';
import { useApp } from '../../kernel/app-context.ts';
import { withPractice } from '../../kernel/case-inputs.ts';
import { download } from '../../platform/browser.ts';

const FILE_NAME = 'archgap-practice.json';

/** Where this case departs from what the practice holds to, and those preferences themselves. */
export function PracticePart() {
  const { controller, practice } = useApp();
  const choices = () => ({ ...controller.inputs().closure, limitMm: controller.inputs().limitMm });
  const departing = () => departures(choices(), practice.practice());
  const makeOwn = () => {
    const { limitMm, maxStages, perStageMm, perStageRad, expression, spanRule } = choices();
    practice.change({
      limitMm,
      maxStages,
      perStageMm,
      perStageRad,
      expression,
      spanRule: spanRule ?? 'shortest',
    });
  };
  return (
    <div class="practice-part">
      <Show
        when={departing().length > 0}
        fallback={<p class="small quiet">This case follows the preferences of the practice.</p>}
      >
        <div class="departures" role="note">
          <p class="small">
            <b>Departs from the practice:</b>
          </p>
          <ul class="reasons">
            <For each={departing()}>{(one) => <li>{one.text}</li>}</For>
          </ul>
          <div class="button-row">
            <button
              type="button"
              class="button small"
              onClick={() => controller.change((inputs) => withPractice(inputs, practice.practice()))}
            >
              As the practice
            </button>
            <button type="button" class="button small" onClick={makeOwn}>
              Make these the practice’s
            </button>
          </div>
        </div>
      </Show>
      <details class="small">
        <summary>Preferences of the practice</summary>
        <p class="small quiet">
          Kept on this device, and where every new case starts: limit, stages, motion per stage, expression,
          span rule, and these words around the note.
        </p>
        <NoteWords field="noteBefore" label="Words before the note" />
        <NoteWords field="noteAfter" label="Words after the note" />
        <PracticeFile />
      </details>
    </div>
  );
}

function NoteWords(props: { readonly field: 'noteBefore' | 'noteAfter'; readonly label: string }) {
  const { practice } = useApp();
  const id = createUniqueId();
  const take = (text: string): Partial<Practice> =>
    props.field === 'noteBefore' ? { noteBefore: text } : { noteAfter: text };
  return (
    <div class="note-words">
      <label for={id}>{props.label}</label>
      <textarea
        id={id}
        class="note-text"
        rows={2}
        maxLength={2000}
        ref={keepTyped(() => practice.practice()[props.field])}
        onInput={(event) => practice.change(take(event.currentTarget.value))}
      />
    </div>
  );
}

function PracticeFile() {
  const { practice } = useApp();
  const id = createUniqueId();
  const [said, setSaid] = createSignal<{ readonly text: string; readonly wrong: boolean } | null>(null);
  const save = () =>
    download({
      fileName: FILE_NAME,
      mediaType: 'application/json;charset=utf-8',
      bytes: new TextEncoder().encode(practice.exported()),
    });
  const read = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    input.value = '';
    if (!file) return;
    try {
      practice.take(await file.text());
      setSaid({ text: `Taken over from ${file.name}.`, wrong: false });
    } catch (thrown) {
      const fault = namingFile(thrown, file.name);
      if (!(fault instanceof ArchgapError)) throw fault;
      setSaid({ text: fault.message, wrong: true });
    }
  };
  return (
    <div class="button-row">
      <button type="button" class="button small" onClick={save}>
        Save as a file
      </button>
      <label class="button small" for={id}>
        Take over from a file …
      </label>
      <input
        id={id}
        class="visually-hidden"
        type="file"
        accept=".json"
        onChange={(event) => void read(event.currentTarget)}
      />
      <Show when={said()}>
        {(one) => (
          <span class="small" data-wrong={one().wrong} role={one().wrong ? 'alert' : 'status'}>
            {one().text}
          </span>
        )}
      </Show>
    </div>
  );
}
