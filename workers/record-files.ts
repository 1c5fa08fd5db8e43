import { cutSection } from '../src/contacts/cut-section.ts';
import type { SectionProfile } from '../src/contacts/types.ts';
import { usageError } from '../src/geometry/archgap-error.ts';
import { writeClosureNote } from '../src/report/closure-note.ts';
import { writeCompareCsv } from '../src/report/compare-csv.ts';
import { writeCompareHtml } from '../src/report/compare-html.ts';
import { writeCompareJson } from '../src/report/compare-json.ts';
import { writeContactsCsv } from '../src/report/contacts-csv.ts';
import { writeLabelledPly } from '../src/report/labelled-ply.ts';
import { writePlanCsv } from '../src/report/plan-csv.ts';
import { writePlanJson } from '../src/report/plan-json.ts';
import { writeReportHtml } from '../src/report/report-html.ts';
import { writeTeethCsv } from '../src/report/teeth-csv.ts';
import { writeResultJson } from '../src/report/write-result-json.ts';
import { sha256 } from '../src/scan/sha256.ts';
import type { Scan } from '../src/scan/types.ts';
import { writeClickFile } from '../src/teeth/clicks.ts';
import type { Segmentation } from '../src/teeth/types.ts';
import type { RecordFile, RecordRequest } from './analysis-api.ts';

/**
 * Writes the file that was asked for.
 * @throws ArchgapError `NO_PLAN` for a plan or note while there is none, `NO_EARLIER_SCAN` for a comparison
 */
export async function writeRecordFile(
  request: RecordRequest,
  scan: Scan,
  labels: Segmentation,
): Promise<RecordFile> {
  const { analysis, plan, numbering, version } = request;
  const needPlan = () => {
    if (!plan) throw usageError('NO_PLAN', 'There is no closure plan yet; measure the contacts first.');
    return plan;
  };
  const needComparison = () => {
    if (request.comparison) return { ...request.comparison, analysis };
    throw usageError('NO_EARLIER_SCAN', 'There is no earlier scan that this one was compared with.');
  };
  switch (request.kind) {
    case 'contacts-csv':
      return textFile('contacts.csv', 'text/csv', writeContactsCsv(analysis));
    case 'teeth-csv':
      return textFile('teeth.csv', 'text/csv', writeTeethCsv(analysis));
    case 'result-json':
      return textFile('result.json', 'application/json', writeResultJson(analysis, { version }));
    case 'labelled-ply':
      return {
        fileName: 'labelled.ply',
        mediaType: 'application/octet-stream',
        bytes: writeLabelledPly(scan, labels.labels),
      };
    case 'report-html': {
      const sections = cutMeasured(request, scan, labels);
      const { createdAt } = request;
      const html = writeReportHtml({
        analysis,
        plan,
        sections,
        numbering,
        version,
        createdAt,
        note: request.noteIsEdited ? (request.note ?? null) : null,
        heading: request.heading ?? null,
        floss: request.floss ?? [],
        ...(request.scanName === undefined ? {} : { scanName: request.scanName }),
      });
      return textFile('report.html', 'text/html', html);
    }
    case 'plan-json': {
      const plan = needPlan();
      const result = new TextEncoder().encode(writeResultJson(analysis, { version }));
      const departures = request.departures ?? null;
      const text = writePlanJson(plan, analysis, { version, resultSha256: await sha256(result), departures });
      return textFile('plan.json', 'application/json', text);
    }
    case 'plan-csv':
      return textFile('plan.csv', 'text/csv', writePlanCsv(needPlan()));
    case 'note-txt':
      return textFile(
        'note.txt',
        'text/plain',
        request.note ?? writeClosureNote(needPlan(), analysis, numbering),
      );
    case 'compare-csv': {
      const { earlier, ...followUp } = needComparison();
      return textFile('compare.csv', 'text/csv', writeCompareCsv(earlier, followUp));
    }
    case 'compare-json': {
      const { earlier, names: _, plan: planned, ...followUp } = needComparison();
      const text = writeCompareJson(earlier, followUp, { version, planned: planned !== null });
      return textFile('compare.json', 'application/json', text);
    }
    case 'compare-html': {
      const { earlier, names, plan: planned, ...followUp } = needComparison();
      const { createdAt } = request;
      const sections = cutMeasured(request, scan, labels);
      const about = { numbering, version, createdAt, heading: request.heading ?? null };
      const html = writeCompareHtml({ earlier, names, followUp, plan: planned, sections, ...about });
      return textFile('comparison.html', 'text/html', html);
    }
    case 'clicks-json':
      return textFile('clicks.json', 'application/json', writeClickFile(request.clicks, scan));
  }
}

/** The sections that belong into the report: of every contact with a measured space. */
function cutMeasured({ analysis }: RecordRequest, scan: Scan, labels: Segmentation): SectionProfile[] {
  return analysis.contacts
    .filter((contact) => contact.gap !== null && contact.pointA !== null)
    .map((contact) => cutSection(scan, labels, analysis, contact));
}

export function textFile(fileName: string, type: string, text: string): RecordFile {
  return { fileName, mediaType: `${type};charset=utf-8`, bytes: new TextEncoder().encode(text) };
}
