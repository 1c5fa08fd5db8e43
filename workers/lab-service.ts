import { crownContactView, crownContactViews } from '../src/contacts/crown-contact-view.ts';
import { fitOnScan } from '../src/contacts/fit-on-scan.ts';
import { DEFAULT_FIT_TARGET } from '../src/contacts/fit-types.ts';
import { measureCrowns } from '../src/contacts/measure-crowns.ts';
import { type MergedCrowns, mergeCrowns } from '../src/contacts/merge-crowns.ts';
import type { Analysis } from '../src/contacts/types.ts';
import { usageError } from '../src/geometry/archgap-error.ts';
import { subJob } from '../src/geometry/job-control.ts';
import { vertexNormals } from '../src/geometry/triangle-geometry.ts';
import { writeContactsCsv } from '../src/report/contacts-csv.ts';
import { writeLabelledPly } from '../src/report/labelled-ply.ts';
import { writeReportHtml } from '../src/report/report-html.ts';
import { writeResultJson } from '../src/report/write-result-json.ts';
import { placeInFrame } from '../src/scan/place-in-frame.ts';
import { readScan } from '../src/scan/read-scan.ts';
import type { Scan } from '../src/scan/types.ts';
import { toothSortIndex } from '../src/teeth/notation.ts';
import type { ToothMap } from '../src/teeth/types.ts';
import { agreementReply } from './agreement-reply.ts';
import type { CrownsFileRequest, LabApi } from './lab-api.ts';
import { portJob } from './port-job.ts';
import { textFile } from './record-files.ts';
import type { TransferMarker } from './reply-types.ts';

/** Share of a job that is reading files. */
const READING_SHARE = 0.4;

/** A scan that was measured, as the analysis service holds it. */
export interface MeasuredScan {
  readonly scan: Scan;
  readonly labels: ToothMap;
  readonly analysis: Analysis;
}

/** The worker's side of {@link LabApi}. @param measuredOf - throws where a scan is gone or not measured */
export function makeLabService(give: TransferMarker, measuredOf: (scanId: string) => MeasuredScan): LabApi {
  let held: { readonly crownsId: string; readonly merged: MergedCrowns; readonly analysis: Analysis } | null =
    null;

  function of(crownsId: string) {
    if (held?.crownsId === crownsId) return held;
    throw usageError('NO_CROWNS', 'These crowns are no longer open; measure them again.');
  }

  // A restoration is read in the unit of the scan, which is its frame: a single crown alone does not show its unit.
  return {
    async fit(scanId, { fileName, bytes }, tooth, port) {
      const { scan, labels, analysis } = measuredOf(scanId);
      const job = portJob(port);
      const restoration = await readScan(bytes, {
        fileName,
        unit: scan.source.unit.unit,
        control: subJob(job, 0, READING_SHARE),
      });
      const control = subJob(job, READING_SHARE, 1);
      const fit = await fitOnScan(restoration, tooth, scan, labels, analysis, DEFAULT_FIT_TARGET, control);
      return { restoration: restoration.source, ...fit };
    },

    async readRestoration(scanId, { fileName, bytes }, port) {
      const { scan } = measuredOf(scanId);
      const { unit } = scan.source.unit;
      const placed = placeInFrame(await readScan(bytes, { fileName, unit, control: portJob(port) }), scan);
      const reply = { ...placed, normals: vertexNormals(placed) };
      return give(
        reply,
        Object.values(reply).map(({ buffer }) => buffer),
      );
    },

    async measureCrowns({ crowns, jaw, unit, settings }, port) {
      const job = portJob(port);
      const read = [];
      const sorted = crowns.toSorted((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
      for (const [k, { tooth, fileName, bytes }] of sorted.entries()) {
        const share = READING_SHARE / sorted.length;
        const control = subJob(job, k * share, (k + 1) * share);
        read.push({ tooth, scan: await readScan(bytes, { fileName, unit, control }) });
      }
      const analysis = await measureCrowns(read, jaw, settings, subJob(job, READING_SHARE, 1));
      const merged = mergeCrowns(read);
      const crownsId = crypto.randomUUID();
      held = { crownsId, merged, analysis };
      const positions = merged.mesh.positions.slice();
      const triangles = merged.mesh.triangles.slice();
      const normals = vertexNormals(merged.mesh);
      const labels = merged.labels.slice();
      const arrays = [positions, triangles, normals, labels];
      return give(
        { crownsId, analysis, frame: analysis.frame, positions, normals, triangles, labels },
        arrays.map(({ buffer }) => buffer),
      );
    },

    async viewCrowns(crownsId, toothA, toothB) {
      const { merged, analysis } = of(crownsId);
      return crownContactView(merged, analysis, toothA, toothB);
    },

    async closeCrowns(crownsId) {
      if (held?.crownsId === crownsId) held = null;
    },

    async writeCrowns(crownsId, request) {
      const file = crownsFile(of(crownsId).merged, request);
      return give(file, [file.bytes.buffer]);
    },

    async assessAgreement(request, port) {
      return agreementReply(request, portJob(port));
    },
  };
}

function crownsFile(
  merged: MergedCrowns,
  { kind, analysis, numbering, version, createdAt }: CrownsFileRequest,
) {
  switch (kind) {
    case 'contacts-csv':
      return textFile('contacts.csv', 'text/csv', writeContactsCsv(analysis));
    case 'result-json':
      return textFile('result.json', 'application/json', writeResultJson(analysis, { version }));
    case 'labelled-ply':
      return {
        fileName: 'labelled.ply',
        mediaType: 'application/octet-stream',
        bytes: writeLabelledPly({ ...merged.mesh, colors: null, originMm: merged.originMm }, merged.labels),
      };
    case 'report-html': {
      const crownViews = crownContactViews(merged, analysis);
      const about = { plan: null, sections: [], crownViews, numbering, version, createdAt, note: null };
      return textFile('report.html', 'text/html', writeReportHtml({ analysis, ...about }));
    }
  }
}
