import { For, Show } from 'solid-js';
import { fitStatusWords } from '../../../report/fit-words.ts';
import { archOrder, formatTooth } from '../../../teeth/notation.ts';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { Cautions } from '../../components/Cautions.tsx';
import { ErrorLine } from '../../components/ErrorLine.tsx';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { FitFiles } from './FitFiles.tsx';
import { FitSides } from './FitSides.tsx';
import { TargetFields } from './TargetFields.tsx';
import './fit.css';

/** A designed restoration against the teeth beside it on the open scan. */
export function FitSection() {
  const { controller, fit, preferences, readFor, worksheet } = useApp();
  const words = () =>
    (fit.sides() ?? [])
      .filter(({ side }) => side.neighbour !== null)
      .map(({ side }) => `${side.side} ${fitStatusWords(side)}`)
      .join(', ');
  const state = () => {
    const tooth = fit.tooth();
    if (fit.isOld()) return 'of earlier clicks or scanner';
    if (fit.sides())
      return `${tooth === null ? '' : formatTooth(tooth, preferences.numbering())}: ${words()}`;
    return fit.file() ? fit.file()!.name : 'for a designed crown or bridge unit';
  };
  return (
    <WorksheetSection
      number={7}
      title="Restoration"
      state={state()}
      tone={fit.sides() && !fit.isOld() ? 'done' : fit.file() ? 'attention' : 'empty'}
      open={worksheet.isOpen('restoration')}
      onToggle={(open) => worksheet.setOpen('restoration', open)}
    >
      <p class="small">
        A designed restoration in the frame of this scan (STL or PLY): the space to the teeth beside it, how
        much is to be added or taken off, and where. The view shows it in its place, with a ring at each
        contact.
      </p>
      <Show when={fit.canFit()} fallback={<p class="quiet small">Needs the contacts of this scan first.</p>}>
        <p class="quiet small">
          The restoration stays in this tab only: undo brings it back, a reload does not, nor is it part of
          the case file. Save the files of a fit to keep it.
        </p>
        <div class="button-row">
          <FilePicker oneScan onFiles={(files) => readFor(files, ([file]) => file && fit.setFile(file))}>
            Choose the restoration …
          </FilePicker>
          <Show when={fit.file()}>{(file) => <span class="file-name">{file().name}</span>}</Show>
        </div>
        <div class="fit-fields">
          <label class="fit-tooth">
            <span>It replaces tooth</span>
            <select
              onChange={(event) => {
                const { value } = event.currentTarget;
                fit.setTooth(value === '' ? null : Number(value));
              }}
            >
              <option value="" selected={fit.tooth() === null}>
                not said yet
              </option>
              <For each={archOrder(controller.inputs().jaw ?? 'upper')}>
                {(tooth) => (
                  <option value={tooth} selected={tooth === fit.tooth()}>
                    {formatTooth(tooth, preferences.numbering())}
                  </option>
                )}
              </For>
            </select>
          </label>
          <TargetFields />
        </div>
        <Show when={fit.file() && fit.tooth() === null}>
          <p class="small">Say which tooth it replaces; the file’s name does not tell.</p>
        </Show>
        <JobLine job={fit.job} cancellable />
        {/* Afterwards the fit tells of a file that cannot be read. */}
        <Show when={fit.tooth() === null}>
          <JobLine job={fit.reading} />
        </Show>
        <Show
          when={
            fit.sides() === null && fit.file() && fit.tooth() !== null && fit.job.state().kind !== 'running'
          }
        >
          <div class="button-row">
            <button type="button" class="button" onClick={() => void fit.run()}>
              Hold it against its neighbours
            </button>
          </div>
        </Show>
      </Show>
      <Show when={fit.isOld()}>
        <ErrorLine sentence="Clicks, teeth or scanner changed since: these figures belong to what was before." />
        <div class="button-row">
          <button type="button" class="button" disabled={!fit.canFit()} onClick={() => void fit.run()}>
            Measure again
          </button>
        </div>
      </Show>
      <Show when={fit.sides()}>
        {(sides) => (
          <div class="results">
            <FitSides sides={sides()} target={fit.target()} />
            <For each={fit.record()?.warnings}>
              {(warning) => <p class="warning-line">{sentenceIn(warning, preferences.numbering())}</p>}
            </For>
            <Show when={!fit.isOld()}>
              <FitFiles />
            </Show>
            <Cautions about="measurements" />
          </div>
        )}
      </Show>
    </WorksheetSection>
  );
}
