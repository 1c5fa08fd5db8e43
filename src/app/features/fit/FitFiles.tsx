import { FileList } from '../../components/FileList.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { type FitFileKind, fitPrefix, writeFitFile } from '../../kernel/fit-files.ts';

const FILES: readonly (readonly [FitFileKind, string, string])[] = [
  ['report-html', 'fit-report.html', 'Both sides on paper or screen'],
  ['fit-csv', 'fit.csv', 'The table of both sides'],
  ['fit-json', 'fit.json', 'The same for other programs'],
];

/** What leaves the tool about a fit. */
export function FitFiles() {
  const { fit, preferences, version } = useApp();
  const write = async (kind: FitFileKind) => {
    const record = fit.record();
    if (!record) return null;
    const createdAt = new Date().toISOString();
    return writeFitFile(kind, record, { numbering: preferences.numbering(), version, createdAt });
  };
  const prefix = () => {
    const record = fit.record();
    return record && fitPrefix(record.tooth);
  };
  return <FileList files={FILES} write={write} busy={false} prefix={prefix()} />;
}
