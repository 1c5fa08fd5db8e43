import { inputError } from '../src/geometry/archgap-error.ts';
import { decodeText } from '../src/geometry/decode-text.ts';
import type { JobControl } from '../src/geometry/job-control.ts';
import { writeAgreementCsv } from '../src/report/agreement-csv.ts';
import {
  agreementHeadline,
  agreementParts,
  countSentences,
  writeAgreementHtml,
} from '../src/report/agreement-html.ts';
import { writeAgreementJson } from '../src/report/agreement-json.ts';
import { agreementWarnings } from '../src/report/agreement-warnings.ts';
import { sha256 } from '../src/scan/sha256.ts';
import { assessAgreement } from '../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../src/study/repeated-measurements.ts';
import type { AgreementReply, AgreementRequest } from './lab-api.ts';
import { textFile } from './record-files.ts';

/** Share of the job that is reading the tables. */
const READING_SHARE = 0.2;

/**
 * Tables of repeated measurements to figures, plots and files.
 * @throws ArchgapError `AGREEMENT_TOO_FEW`, `TEXT_NOT_UTF8`, `CANCELLED`, and as `repeatedMeasurements`
 */
export async function agreementReply(
  { tables, options, version }: AgreementRequest,
  job: JobControl,
): Promise<AgreementReply> {
  const names = uniqueNames(tables.map(({ fileName }) => fileName));
  const sources = [];
  for (const [k, { fileName, bytes }] of tables.entries()) {
    await job.checkpoint((READING_SHARE * k) / tables.length, `reading ${fileName}`);
    sources.push({ fileName, name: names[k]!, sha256: await sha256(bytes) });
  }
  const named = tables.map(({ bytes }, k) => ({ name: names[k]!, text: decodeText(bytes, names[k]!) }));
  await job.checkpoint(READING_SHARE, 'arranging the measurements');
  const data = repeatedMeasurements(named, options);
  await job.checkpoint(0.4, 'working out the figures');
  const analyses = assessAgreement(data);
  const sentences = countSentences(data, analyses[0]);
  if (analyses.every(({ figures }) => figures === null)) {
    throw inputError('AGREEMENT_TOO_FEW', `${analyses[0]?.refusal ?? ''} ${sentences.join(' ')}`);
  }
  const about = { version, sources };
  await job.checkpoint(0.6, 'drawing the plots');
  const parts = agreementParts(data, analyses);
  await job.checkpoint(0.8, 'writing the files');
  return {
    headline: agreementHeadline(data, analyses),
    sentences,
    cautions: agreementWarnings(data, analyses, sources).map(({ sentence }) => sentence),
    parts,
    valueColumn: data.valueColumn,
    targetColumns: data.targetColumns,
    occasionColumns: data.occasionColumns,
    files: [
      textFile('agreement.html', 'text/html', writeAgreementHtml(data, analyses, about)),
      textFile('agreement.csv', 'text/csv', writeAgreementCsv(data, analyses)),
      textFile('agreement.json', 'application/json', writeAgreementJson(data, analyses, about)),
    ],
  };
}

/** Tables of one name are told apart by their place. */
function uniqueNames(names: readonly string[]): string[] {
  return names.map((name, k) => {
    const same = names.slice(0, k).filter((other) => other === name).length;
    return names.indexOf(name) === names.lastIndexOf(name) ? name : `${name} (${same + 1})`;
  });
}
