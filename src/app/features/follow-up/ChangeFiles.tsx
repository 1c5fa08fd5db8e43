import { For } from 'solid-js';
import type { RecordFileKind } from '../../../../workers/analysis-api.ts';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { download } from '../../platform/browser.ts';
import { printReport } from '../../platform/print-report.ts';

const FILES: readonly (readonly [RecordFileKind, string, string])[] = [
  ['compare-html', 'comparison.html', 'Both scans on paper or screen'],
  ['compare-csv', 'compare.csv', 'The table of changes'],
  ['compare-json', 'compare.json', 'Changes and alignment, for other programs'],
];

/** What leaves the tool about a comparison. */
export function ChangeFiles() {
  const { controller } = useApp();
  const busy = () => controller.recordJob.state().kind === 'running';
  const save = async (kind: RecordFileKind) => {
    const file = await controller.writeFile(kind);
    if (file) download(file);
  };
  const print = async () => {
    const file = await controller.writeFile('compare-html');
    if (file) printReport(new TextDecoder().decode(file.bytes));
  };
  return (
    <>
      <div class="button-row">
        <button type="button" class="button" disabled={busy()} onClick={() => void print()}>
          Print the comparison …
        </button>
      </div>
      <JobLine job={controller.recordJob} />
      <ul class="file-list">
        <For each={FILES}>
          {([kind, name, holds]) => (
            <li>
              <button
                type="button"
                class="button small"
                disabled={busy()}
                aria-label={`Save ${name}`}
                onClick={() => void save(kind)}
              >
                Save
              </button>
              <span class="file-kind">{name}</span>
              <span class="quiet small">{holds}</span>
            </li>
          )}
        </For>
      </ul>
    </>
  );
}
