import { For, Show } from 'solid-js';
import { FileList } from '../../components/FileList.tsx';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { Meanings } from '../../components/Meanings.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { ColumnFields } from './ColumnFields.tsx';
import './agreement.css';

type AgreementFile = 'agreement.html' | 'agreement.csv' | 'agreement.json';

const FILES: readonly (readonly [AgreementFile, string, string])[] = [
  ['agreement.html', 'agreement.html', 'Figures, plots and sources on paper or screen'],
  ['agreement.csv', 'agreement.csv', 'Every figure with its interval'],
  ['agreement.json', 'agreement.json', 'Figures and the numbers behind them'],
];

const MEANINGS: readonly (readonly [string, string])[] = [
  [
    'Judge by the limits of agreement',
    'A high correlation does not prove agreement: it grows with the spread of the targets.',
  ],
  [
    'What is left out',
    'Only targets with a number on every occasion count; nothing is filled in. A contact that the scan runs across has no number, and those are the narrow ones.',
  ],
  [
    'An interval that is missing',
    'Where no scatter is left to judge by or the approximation leaves its range, a correlation has no interval; the reason stands in its place.',
  ],
  [
    'Precision, not truth',
    'Agreement says nothing of how near the measurements are to the truth, and of one scan clicked again only how well the clicks agree. Targets of one mouth are not quite independent.',
  ],
];

/** Repeated measurements: tables on the left, figures and plots on the right. */
export function AgreementDesk() {
  const { agreement, readFor } = useApp();
  const write = async (name: AgreementFile) =>
    agreement.reply()?.files.find(({ fileName }) => fileName === name) ?? null;
  return (
    <>
      <div class="worksheet" id="worksheet" tabindex="-1">
        <section class="lab-sheet" aria-labelledby="agreement-title">
          <h2 id="agreement-title">Agreement of repeated measurements</h2>
          <p class="small">
            Two or more tables (CSV) of the same targets measured again, by other operators, on other days or
            scanners; or one table that names them in columns such as operator, session, scanner, repeat.
          </p>
          <div class="button-row">
            <FilePicker tables onFiles={(files) => readFor(files, agreement.add)}>
              Choose tables …
            </FilePicker>
            <span class="quiet small">or drop them on the page</span>
          </div>
          <p class="quiet small on-screen">
            Tables stay in this tab only and are gone after a reload; save the files of a comparison to keep
            it.
          </p>
          <Show when={agreement.tables().length > 0}>
            <ul class="table-list">
              <For each={agreement.tables()}>
                {({ name }, place) => (
                  <li>
                    <span class="file-name">{name}</span>
                    <button
                      type="button"
                      class="icon-button"
                      aria-label={`Take ${name} out`}
                      onClick={() => agreement.remove(place())}
                    >
                      ×
                    </button>
                  </li>
                )}
              </For>
            </ul>
            <ColumnFields />
          </Show>
          <JobLine job={agreement.job} cancellable />
          <Show when={agreement.reply()}>
            <FileList files={FILES} write={write} busy={false} />
            <Meanings title="How to read it" entries={MEANINGS} />
          </Show>
        </section>
      </div>
      <section class="lab-results" aria-label="Figures and plots" tabindex="0">
        <Show
          when={agreement.reply()}
          fallback={
            <p class="lab-empty">
              Here stand the intraclass correlations, Dahlberg’s error, the limits of agreement and the
              repeatability coefficient, each with its plot.
            </p>
          }
        >
          {(reply) => (
            <div class="agreement-results" aria-live="polite">
              <p class="headline">{reply().headline}</p>
              <For each={reply().cautions}>{(sentence) => <p class="warning-line">{sentence}</p>}</For>
              <For each={reply().sentences}>{(sentence) => <p class="small quiet">{sentence}</p>}</For>
              <For each={reply().parts}>
                {({ heading, html }) => (
                  <section class="agreement-part">
                    <h3>{heading}</h3>
                    {/* The markup is our own: the writer escapes every text of a table. */}
                    <div innerHTML={html} />
                  </section>
                )}
              </For>
            </div>
          )}
        </Show>
      </section>
    </>
  );
}
