import type { RecordFile } from '../../../workers/analysis-api.ts';
import { writeFitCsv } from '../../report/fit-csv.ts';
import { writeFitHtml } from '../../report/fit-html.ts';
import { type FitRecord, writeFitJson } from '../../report/fit-json.ts';
import type { NumberingScheme, ToothNumber } from '../../teeth/types.ts';

export type FitFileKind = 'fit-csv' | 'fit-json' | 'report-html';

interface FitFileOptions {
  readonly numbering: NumberingScheme;
  readonly version: string;
  /** ISO date and time. */
  readonly createdAt: string;
}

/** What the names of files about a fit begin with: its tooth, ISO 3950. */
export function fitPrefix(tooth: ToothNumber): string {
  return `${tooth}-`;
}

/** One file about a fit; a few lines of text, written where they are wanted. */
export function writeFitFile(kind: FitFileKind, record: FitRecord, options: FitFileOptions): RecordFile {
  const file = (fileName: string, type: string, text: string): RecordFile => ({
    fileName: `${fitPrefix(record.tooth)}${fileName}`,
    mediaType: `${type};charset=utf-8`,
    bytes: new TextEncoder().encode(text),
  });
  switch (kind) {
    case 'fit-csv':
      return file('fit.csv', 'text/csv', writeFitCsv(record.tooth, record.sides));
    case 'fit-json':
      return file('fit.json', 'application/json', writeFitJson(record, options));
    case 'report-html':
      return file('fit-report.html', 'text/html', writeFitHtml(record, options));
  }
}
