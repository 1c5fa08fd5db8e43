import { createUniqueId, Show } from 'solid-js';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** Takes the scan of the opposing arch, against which the plan then tells the room along each motion. */
export function OpposingSlot() {
  const { results } = useApp().controller;
  const id = createUniqueId();
  const take = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    input.value = '';
    if (file) await results.setOpposing({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) });
  };
  return (
    <div class="opposing-slot">
      <Show
        when={results.opposing()}
        fallback={
          <>
            <label class="button small" for={id}>
              Opposing scan …
            </label>
            <input
              id={id}
              class="visually-hidden"
              type="file"
              accept=".stl,.ply"
              onChange={(event) => void take(event.currentTarget)}
            />
            <span class="small quiet">
              For the room along each motion. It has to lie in the same frame as this scan: exported with the
              bite.
            </span>
          </>
        }
      >
        {(facts) => (
          <>
            <span>
              Opposing arch: <b>{facts().fileName}</b>, taken to lie in the same frame.
            </span>
            <button type="button" class="button small" onClick={() => void results.setOpposing(null)}>
              Remove
            </button>
            <span class="small quiet">{facts().unitSentence} Kept until this page is left.</span>
          </>
        )}
      </Show>
      <JobLine job={results.jobs.opposing} />
    </div>
  );
}
