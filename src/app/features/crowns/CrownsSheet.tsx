import { createMemo, For, Show } from 'solid-js';
import type { CrownsFileKind } from '../../../../workers/lab-api.ts';
import { contactsHeadline, contactsRemainder } from '../../../report/answer-words.ts';
import { listWords } from '../../../report/contact-words.ts';
import type { LengthUnit } from '../../../scan/types.ts';
import { archOrder, formatTooth } from '../../../teeth/notation.ts';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { Cautions } from '../../components/Cautions.tsx';
import { FileList } from '../../components/FileList.tsx';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { KeptPairs } from '../../components/KeptPairs.tsx';
import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { type CrownEntry, crownsPrefix } from '../../kernel/create-crowns.ts';
import { counted } from '../../kernel/words.ts';
import { CrownsTable } from './CrownsTable.tsx';

const FILES: readonly (readonly [CrownsFileKind, string, string])[] = [
  ['report-html', 'report.html', 'All contacts on paper or screen'],
  ['contacts-csv', 'contacts.csv', 'The table, with both crowns of every contact'],
  ['result-json', 'result.json', 'Everything measured, for other programs'],
  ['labelled-ply', 'labelled.ply', 'All crowns in one mesh with their numbers'],
];

const UNITS: readonly (readonly [LengthUnit, string])[] = [
  ['mm', 'millimetres'],
  ['cm', 'centimetres'],
  ['m', 'metres'],
  ['in', 'inches'],
];

/** Files, settings, table and files to take along, from top to bottom. */
export function CrownsSheet() {
  const { crowns, preferences, readFor } = useApp();
  const busy = () => crowns.job.state().kind === 'running';
  // Of itself: another limit is another answer, and would shut the list that somebody opened.
  const isMeasured = createMemo(() => crowns.measured() !== null);
  return (
    <section class="lab-sheet" aria-labelledby="crowns-title">
      <h2 id="crowns-title">Crowns against each other</h2>
      <p class="small">
        Designed crowns or sectioned model parts, one STL or PLY file per tooth, all in one frame: the space
        or the overlap at every contact, both ways, with area and place.
      </p>
      <div class="button-row">
        <FilePicker scans onFiles={(files) => readFor(files, crowns.add)}>
          Choose crown files …
        </FilePicker>
        <span class="quiet small">or drop them on the page</span>
      </div>
      <p class="quiet small on-screen">
        Crowns stay in this tab only and are gone after a reload; save the files of a measurement to keep it.
      </p>
      <Show when={crowns.entries().length > 0}>
        {/* Done with, the files make room for the answer. */}
        <details class="crown-files" open={!isMeasured()}>
          <summary>{counted(crowns.entries().length, 'crown file', 'crown files')}</summary>
          <ul class="crown-list">
            <For each={crowns.entries()}>{(entry) => <CrownRow entry={entry} />}</For>
          </ul>
        </details>
        <Show when={crowns.replaced().length > 0}>
          <p class="quiet small" role="status">
            Given again under the same name, counts in place of the one before: {listWords(crowns.replaced())}
            .
          </p>
        </Show>
        <div class="crown-settings">
          <label class="fit-tooth">
            <span>The files’ numbers are</span>
            <select
              onChange={({ currentTarget: { value } }) =>
                crowns.setUnit(value === '' ? null : (value as LengthUnit))
              }
            >
              <option value="" selected={crowns.unit() === null}>
                as their size says
              </option>
              <For each={UNITS}>
                {([unit, words]) => (
                  <option value={unit} selected={crowns.unit() === unit}>
                    {words}
                  </option>
                )}
              </For>
            </select>
          </label>
          <NumberField
            label="still closed up to"
            unit="mm"
            value={crowns.limitMm()}
            min={0}
            max={1}
            step={0.01}
            onChange={crowns.setLimitMm}
          />
        </div>
        <Show when={crowns.wants()}>{(sentence) => <p class="warning-line">{sentence()}</p>}</Show>
        <div class="button-row">
          <button
            type="button"
            class="button primary"
            disabled={crowns.wants() !== null || busy()}
            onClick={() => void crowns.measure()}
          >
            Measure the contacts
          </button>
        </div>
      </Show>
      <JobLine job={crowns.job} cancellable />
      <Show when={crowns.measured()}>
        {(measured) => (
          <>
            <p class="headline">
              <KeptPairs sentence={contactsHeadline(measured().analysis, preferences.numbering())} />
            </p>
            <For each={contactsRemainder(measured().analysis, preferences.numbering())}>
              {(sentence) => <p class="small">{sentence}</p>}
            </For>
            <CrownsTable contacts={measured().analysis.contacts} />
            <For each={measured().analysis.warnings}>
              {(warning) => <p class="warning-line">{sentenceIn(warning, preferences.numbering())}</p>}
            </For>
            <JobLine job={crowns.fileJob} />
            <FileList
              files={FILES}
              write={crowns.writeFile}
              busy={crowns.fileJob.state().kind === 'running'}
              prefix={crownsPrefix(measured().analysis.jaw)}
            />
            <Cautions about="measurements" />
          </>
        )}
      </Show>
    </section>
  );
}

function CrownRow(props: { readonly entry: CrownEntry }) {
  const { crowns, preferences } = useApp();
  return (
    <li>
      <select
        class="tooth-select"
        aria-label={`Tooth of ${props.entry.file.name}`}
        aria-invalid={props.entry.tooth === null}
        onChange={({ currentTarget: { value } }) =>
          crowns.setTooth(props.entry.id, value === '' ? null : Number(value))
        }
      >
        <option value="" selected={props.entry.tooth === null}>
          tooth?
        </option>
        <For each={[...archOrder('upper'), ...archOrder('lower')]}>
          {(tooth) => (
            <option value={tooth} selected={tooth === props.entry.tooth}>
              {formatTooth(tooth, preferences.numbering())}
            </option>
          )}
        </For>
      </select>
      <span class="file-name">{props.entry.file.name}</span>
      <button
        type="button"
        class="icon-button"
        aria-label={`Take ${props.entry.file.name} out`}
        onClick={() => crowns.remove(props.entry.id)}
      >
        ×
      </button>
    </li>
  );
}
