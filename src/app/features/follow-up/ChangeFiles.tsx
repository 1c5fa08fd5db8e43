import type { RecordFileKind } from '../../../../workers/analysis-api.ts';
import { FileList } from '../../components/FileList.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';
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
      <FileList files={FILES} write={controller.writeFile} busy={busy()} prefix={controller.savedPrefix()} />
    </>
  );
}
