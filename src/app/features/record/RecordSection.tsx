import { For, Show } from 'solid-js';
import type { RecordFileKind } from '../../../../workers/analysis-api.ts';
import { JobLine } from '../../components/JobLine.tsx';
import { Meanings } from '../../components/Meanings.tsx';
import { NamesBegin } from '../../components/NamesBegin.tsx';
import { WorksheetSection } from '../../components/WorksheetSection.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { download } from '../../platform/browser.ts';
import { HeadingFields } from './HeadingFields.tsx';
import { NoteText } from './NoteText.tsx';
import { printRecord, recordIsReady } from './print-record.ts';

interface FileRow {
  readonly kind: RecordFileKind;
  readonly name: string;
  readonly holds: string;
  readonly needsPlan: boolean;
}

const FILES: readonly FileRow[] = [
  {
    kind: 'report-html',
    name: 'report.html',
    holds: 'The whole record on paper or screen',
    needsPlan: false,
  },
  { kind: 'contacts-csv', name: 'contacts.csv', holds: 'The contact table', needsPlan: false },
  { kind: 'teeth-csv', name: 'teeth.csv', holds: 'The sizes of the crowns', needsPlan: false },
  {
    kind: 'result-json',
    name: 'result.json',
    holds: 'Everything measured, for other programs',
    needsPlan: false,
  },
  {
    kind: 'labelled-ply',
    name: 'labelled.ply',
    holds: 'The scan with a tooth number on each face',
    needsPlan: false,
  },
  { kind: 'plan-json', name: 'plan.json', holds: 'Every span that was tried', needsPlan: true },
  { kind: 'plan-csv', name: 'plan.csv', holds: 'The spaces before and after, per span', needsPlan: true },
  { kind: 'note-txt', name: 'note.txt', holds: 'The note to send with the order', needsPlan: true },
  {
    kind: 'clicks-json',
    name: 'clicks.json',
    holds: 'Your clicks, to open again here or on the command line',
    needsPlan: false,
  },
];

const RECORD_MEANINGS = [
  ['Report', 'Arch map, plot, table, cuts of the open contacts, plan and note on pages to print or to keep.'],
  [
    'Note for the order',
    'The proposal in words, for whoever makes the stages; your changes stay with the case.',
  ],
  ['SHA-256', 'A fingerprint of the scan file: the same file always has the same one.'],
  ['Method line', 'Version, settings and assumptions from which the same numbers come out again.'],
] as const;

/** What leaves the tool. */
export function RecordSection() {
  const { controller, worksheet } = useApp();
  const { results } = controller;
  const ready = () => recordIsReady(controller);
  const stateLine = () => {
    if (ready()) return 'report, table, note and files are ready';
    return results.analysis() ? 'waits for the results …' : 'needs the contacts';
  };
  const busy = () => controller.recordJob.state().kind === 'running';
  const write = async (kind: RecordFileKind) => {
    const file = await controller.writeFile(kind);
    if (file) download(file);
  };
  return (
    <WorksheetSection
      number={5}
      title="Record"
      state={stateLine()}
      tone={ready() ? 'done' : 'empty'}
      open={worksheet.isOpen('record')}
      onToggle={(open) => worksheet.setOpen('record', open)}
    >
      <Show
        when={ready()}
        fallback={<p class="quiet small">The record is ready once contacts and plan are up to date.</p>}
      >
        <div class="button-row">
          <button
            type="button"
            class="button primary"
            disabled={busy()}
            onClick={() => void printRecord(controller)}
          >
            Print the report …
          </button>
        </div>
        <HeadingFields />
        <NoteText />
        <JobLine job={controller.recordJob} />
        <h3 class="sub-heading">Files to save</h3>
        <ul class="file-list">
          <For each={FILES}>
            {(file) => (
              <li>
                <button
                  type="button"
                  class="button small file-button"
                  disabled={busy() || (file.needsPlan && !results.plan())}
                  aria-label={`Save ${file.name}`}
                  onClick={() => write(file.kind)}
                >
                  {file.name}
                </button>
                <span class="quiet small">{file.holds}</span>
              </li>
            )}
          </For>
        </ul>
        <NamesBegin prefix={controller.savedPrefix()} />
        <p class="small quiet">The whole case can be saved as one file, under Scan.</p>
        <Meanings title="What the words of the record mean" entries={RECORD_MEANINGS} />
        <p class="cautions">
          The report and the note carry the cautions that stand under Contacts and Closure.
        </p>
      </Show>
    </WorksheetSection>
  );
}
