import { inputError } from '../src/geometry/archgap-error.ts';
import { writeAgreementCsv } from '../src/report/agreement-csv.ts';
import {
  agreementHeadline,
  agreementParts,
  countSentences,
  writeAgreementHtml,
} from '../src/report/agreement-html.ts';
import { writeAgreementJson } from '../src/report/agreement-json.ts';
import { sha256 } from '../src/scan/sha256.ts';
import { assessAgreement } from '../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../src/study/repeated-measurements.ts';
import type { AgreementReply, AgreementRequest } from './lab-api.ts';
import { textFile } from './record-files.ts';

/**
 * Tables of repeated measurements to figures, plots and files.
 * @throws ArchgapError `AGREEMENT_TOO_FEW`, and as `repeatedMeasurements`
 */
export async function agreementReply({
  tables,
  options,
  version,
}: AgreementRequest): Promise<AgreementReply> {
  const sources = [];
  for (const { fileName, bytes } of tables) sources.push({ fileName, sha256: await sha256(bytes) });
  const names = uniqueNames(tables.map(({ fileName }) => fileName));
  const named = tables.map(({ bytes }, k) => ({ name: names[k]!, text: new TextDecoder().decode(bytes) }));
  const data = repeatedMeasurements(named, options);
  const analyses = assessAgreement(data);
  const sentences = countSentences(data, analyses[0]);
  if (analyses.every(({ figures }) => figures === null)) {
    throw inputError('AGREEMENT_TOO_FEW', `${analyses[0]?.refusal ?? ''} ${sentences.join(' ')}`);
  }
  const about = { version, sources };
  return {
    headline: agreementHeadline(data, analyses),
    sentences,
    parts: agreementParts(data, analyses),
    valueColumn: data.valueColumn,
    targetColumns: data.targetColumns,
    occasionColumns: data.occasionColumns,
    files: [
      textFile('report.html', 'text/html', writeAgreementHtml(data, analyses, about)),
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
