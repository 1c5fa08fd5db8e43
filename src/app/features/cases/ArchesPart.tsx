import { Show } from 'solid-js';
import type { Jaw } from '../../../teeth/types.ts';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { clickedTeeth } from '../../kernel/case-inputs.ts';
import { counted } from '../../kernel/words.ts';

const jawWords = (jaw: Jaw | null) => (jaw === null ? 'jaw not said yet' : `${jaw} jaw`);

/** The two arches of the case: which one is worked on, and the one that opposes it. */
export function ArchesPart() {
  const { controller, takeOther } = useApp();
  const busy = () => controller.openJob.state().kind === 'running';
  return (
    <>
      <h3 class="sub-heading">Arches of this case</h3>
      <ul class="arch-list">
        <li>
          <span class="arch-name">{controller.open()?.fileName}</span>
          <span class="quiet small">{jawWords(controller.inputs().jaw)}, worked on</span>
        </li>
        <Show
          when={controller.other()}
          fallback={
            <li>
              <FilePicker class="button small" oneScan onFiles={(files) => takeOther(files)}>
                Add the other arch …
              </FilePicker>
              <span class="quiet small">
                Scanned with the bite, in the same frame: for the room along each motion, and for the widths
                of both arches.
              </span>
            </li>
          }
        >
          {(other) => (
            <li>
              <span class="arch-name">{other().fileName}</span>
              <span class="quiet small">
                {jawWords(other().history.present.jaw)},{' '}
                {counted(clickedTeeth(other().history.present).length, 'tooth', 'teeth')} clicked
                {controller.opposing() === null
                  ? '; of another round of scans, so it is left out of the room until both arches have as many'
                  : ''}
              </span>
              <span class="arch-actions">
                <button
                  type="button"
                  class="button small"
                  disabled={busy()}
                  onClick={() => void controller.showOther()}
                >
                  Work on this arch
                </button>
                <button type="button" class="button small quiet" onClick={() => controller.setOther(null)}>
                  Remove
                </button>
              </span>
            </li>
          )}
        </Show>
      </ul>
      <JobLine job={controller.results.jobs.opposing} />
    </>
  );
}
