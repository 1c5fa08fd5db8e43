import { Show } from 'solid-js';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** Takes the scan of the opposing arch, against which the plan then tells the room along each motion. */
export function OpposingSlot() {
  const { controller, takeOther } = useApp();
  const { results } = controller;
  return (
    <div class="opposing-slot">
      <Show
        when={results.opposing()}
        fallback={
          <>
            <FilePicker class="button small" oneScan onFiles={(files) => takeOther(files)}>
              Opposing scan …
            </FilePicker>
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
            <button type="button" class="button small" onClick={() => controller.setOther(null)}>
              Remove
            </button>
            <span class="small quiet">{facts().unitSentence} Kept with the case.</span>
          </>
        )}
      </Show>
      <JobLine job={results.jobs.opposing} />
    </div>
  );
}
