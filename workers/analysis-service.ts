import { readCaseFile } from '../src/casefile/read-case-file.ts';
import { caseFileName, writeCaseFile } from '../src/casefile/write-case-file.ts';
import { completePlan } from '../src/closure/complete-plan.ts';
import { planClosure } from '../src/closure/plan-closure.ts';
import type { OpposingScan } from '../src/closure/room.ts';
import { cutSection } from '../src/contacts/cut-section.ts';
import { earlierTeeth } from '../src/contacts/follow-up.ts';
import { measureContacts } from '../src/contacts/measure-contacts.ts';
import type { Analysis } from '../src/contacts/types.ts';
import { cancelledError, inputError, namingFile, usageError } from '../src/geometry/archgap-error.ts';
import { giveBack } from '../src/geometry/give-back.ts';
import { subJob } from '../src/geometry/job-control.ts';
import { isShared, shared } from '../src/geometry/shared-array.ts';
import { runInSteps } from '../src/geometry/steps.ts';
import { vertexNormals } from '../src/geometry/triangle-geometry.ts';
import { readScan } from '../src/scan/read-scan.ts';
import type { Scan } from '../src/scan/types.ts';
import { alignArch } from '../src/teeth/align-arch.ts';
import { carryClicks } from '../src/teeth/carry-clicks.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../src/teeth/clicks.ts';
import { draftTeeth } from '../src/teeth/draft-teeth.ts';
import { answersClicks, earlierAnswer } from '../src/teeth/known-state.ts';
import { prepareTeeth } from '../src/teeth/prepare-teeth.ts';
import { proposeClicks } from '../src/teeth/propose-clicks.ts';
import { segmentInSteps } from '../src/teeth/segment-teeth.ts';
import type { Segmentation } from '../src/teeth/types.ts';
import type { AnalysisApi, OpenedScan, OpenOptions, SegmentReply } from './analysis-api.ts';
import { beforeCalls } from './before-calls.ts';
import { makeLabService } from './lab-service.ts';
import { portJob } from './port-job.ts';
import { practise } from './practise.ts';
import { readBlob } from './read-blob-api.ts';
import { writeRecordFile } from './record-files.ts';
import { rehearse } from './rehearse.ts';
import type { TransferMarker } from './reply-types.ts';
import { forReply, shareable } from './share-arrays.ts';
import { warmUp } from './warm-up.ts';

/** Share of the opening that is reading; the rest prepares the segmentation. */
const READING_SHARE = 0.6;

/** Share of measuring that settles the borders. */
const SETTLING_SHARE = 0.2;

/** What the worker keeps of one scan. */
interface Held {
  readonly scan: Scan;
  /** Of its vertices, where the page has the same memory. */
  readonly normals: Float32Array | null;
  readonly teeth: Awaited<ReturnType<typeof prepareTeeth>>;
  segmentation: Segmentation | null;
  /** The labels were solved from all clicks at once, not from one click after another. */
  isWhole: boolean;
  /** The analysis with the very labels it was measured on: sections are cut through those. */
  measured: { readonly analysis: Analysis; readonly segmentation: Segmentation } | null;
  opposing: OpposingScan | null;
  /** Counts what was said about the opposing scan: one that was read too late is not kept. */
  opposingAsked: number;
  /** Ends the practice that follows the opening: real work has come. */
  readonly practice: { stop(): void } | null;
}

/**
 * The worker's side of {@link AnalysisApi}: thin, everything it does is a function of the core.
 *
 * @param warm - rehearse the whole job until the first call (see `rehearse`), and practise answering clicks once a scan
 *   is open (see `warmUp`)
 */
export function makeAnalysisService(give: TransferMarker, warm = false): AnalysisApi {
  const held = new Map<string, Held>();

  function of(scanId: string): Held {
    const one = held.get(scanId);
    if (!one)
      throw usageError('NO_SCAN', 'This scan is no longer open; open it again.', { details: { scanId } });
    one.practice?.stop();
    return one;
  }

  const lab = makeLabService(give, (scanId) => {
    const { scan, measured } = of(scanId);
    if (!measured) throw usageError('NO_LABELS', 'Measure the scan before a restoration is held against it.');
    return { scan, labels: measured.segmentation.labels, analysis: measured.analysis };
  });

  const service: AnalysisApi = {
    ...lab,
    async openScan(bytes, options, port) {
      const job = portJob(port);
      const all = await wholeOf(bytes, options);
      const scan = shareable(await readScan(all, { ...options, control: subJob(job, 0, READING_SHARE) }));
      const file = bytes instanceof Uint8Array ? null : all;
      if (file === null) giveBack(all);
      const normals = shared(vertexNormals(scan));
      // Those that do not cross to the page as they are leave with the reply.
      const kept = isShared(normals) ? normals : null;
      const teeth = await prepareTeeth(scan, subJob(job, READING_SHARE, 1), normals);
      const scanId = crypto.randomUUID();
      held.set(scanId, {
        scan,
        normals: kept,
        teeth,
        segmentation: null,
        isWhole: true,
        measured: null,
        opposing: null,
        opposingAsked: 0,
        practice: warm ? practise((control) => warmUp(teeth, control), PRACTICE_REST_MS) : null,
      });
      const reply: OpenedScan = {
        scanId,
        facts: { source: scan.source, health: scan.health, originMm: scan.originMm },
        positions: forReply(scan.positions),
        normals,
        triangles: forReply(scan.triangles),
        colors: scan.colors && forReply(scan.colors),
        file,
      };
      const arrays = [
        reply.positions,
        reply.normals,
        reply.triangles,
        ...(reply.colors ? [reply.colors] : []),
        ...(file ? [file] : []),
      ];
      const buffers = arrays.map(({ buffer }) => buffer).filter((buffer) => buffer instanceof ArrayBuffer);
      return give(reply, buffers);
    },

    async readClicks(scanId, text) {
      const { scan } = of(scanId);
      return snapClicks(scan, clicksToScanFrame(parseClickFile(text), scan));
    },

    async draft(scanId, clicks) {
      const one = of(scanId);
      const drafted = draftTeeth(one.teeth, clicks, one.segmentation);
      if (!drafted) return null;
      const { labels, frame, warnings } = drafted;
      return give({ labels, frame, warnings }, [labels.buffer]);
    },

    async segment(scanId, clicks, port) {
      const one = of(scanId);
      const previous = one.segmentation;
      const segmentation = await runInSteps(segmentInSteps(one.teeth, clicks, previous), portJob(port));
      one.isWhole = earlierAnswer(previous, clicks) === null;
      one.segmentation = segmentation;
      const reply = segmentReply(segmentation);
      return give(reply, [reply.labels.buffer]);
    },

    async proposeClicks(scanId, clicks) {
      return proposeClicks(of(scanId).teeth, clicks);
    },

    async measure(scanId, clicks, settings, port) {
      const one = of(scanId);
      const { isWhole, segmentation: live } = one;
      if (!live) throw usageError('NO_LABELS', 'Click the teeth before measuring.');
      const job = portJob(port);
      await job.checkpoint(0, 'settling the borders');
      // Labels that an overtaken call left behind are never measured for other clicks.
      const isMeasurable = isWhole && answersClicks(live, clicks);
      const segmentation = isMeasurable
        ? live
        : await runInSteps(segmentInSteps(one.teeth, clicks), subJob(job, 0, SETTLING_SHARE));
      const analysis = await measureContacts(
        one.scan,
        clicks,
        segmentation,
        settings,
        subJob(job, SETTLING_SHARE, 1),
        one.normals,
      );
      one.measured = { analysis, segmentation };
      if (isMeasurable) return { analysis, settled: null };
      if (one.segmentation === live) {
        one.segmentation = segmentation;
        one.isWhole = true;
      }
      const settled = segmentReply(segmentation);
      return give({ analysis, settled }, [settled.labels.buffer]);
    },

    async section(scanId, toothA, toothB) {
      const { scan, measured } = of(scanId);
      const contact = measured?.analysis.contacts.find((c) => c.toothA === toothA && c.toothB === toothB);
      if (!measured || !contact?.pointA) {
        throw inputError(
          'NO_SECTION',
          'There is no place at this contact through which the scan could be cut.',
        );
      }
      return cutSection(scan, measured.segmentation, measured.analysis, contact);
    },

    async plan(analysis, settings) {
      return planClosure(analysis, settings);
    },

    async completePlan(scanId, analysis, settings, opposingArch, port) {
      const { scan, measured, opposing } = of(scanId);
      const surfaces = measured && { mesh: scan, labels: measured.segmentation.labels, opposing };
      return completePlan(analysis, settings, surfaces, portJob(port), opposingArch);
    },

    async openOpposing(scanId, bytes, options, port) {
      const one = of(scanId);
      one.opposingAsked += 1;
      const mine = one.opposingAsked;
      const all = await wholeOf(bytes, options);
      const { positions, triangles, originMm, source } = await readScan(all, {
        ...options,
        control: portJob(port),
      });
      const file = bytes instanceof Uint8Array ? null : all;
      if (file === null) giveBack(all);
      if (mine !== one.opposingAsked) throw cancelledError();
      if (source.sha256 === one.scan.source.sha256) {
        throw inputError(
          'OPPOSING_IS_THIS_SCAN',
          `${source.fileName} is the scan that is open, byte for byte; choose the scan of the other jaw.`,
        );
      }
      one.opposing = { positions, triangles, originMm, fileName: source.fileName };
      const reply = { fileName: source.fileName, unitSentence: source.unit.sentence, file };
      return give(reply, file ? [file.buffer] : []);
    },

    async dropOpposing(scanId) {
      const one = of(scanId);
      one.opposingAsked += 1;
      one.opposing = null;
    },

    async layOver(earlierId, scanId, port) {
      const { scan, measured } = of(earlierId);
      if (!measured) throw usageError('NO_LABELS', 'Measure the earlier scan before laying it over another.');
      const { analysis, segmentation } = measured;
      const teeth = earlierTeeth({ analysis, mesh: scan, labels: segmentation.labels });
      const later = of(scanId).scan;
      const alignment = await alignArch(teeth, later, portJob(port));
      const { fixed: _, ...clicks } = carryClicks(teeth, alignment, later);
      return { alignment, clicks };
    },

    async writeFile(scanId, request) {
      const one = of(scanId);
      const labels = one.measured?.segmentation ?? one.segmentation;
      if (!labels) throw usageError('NO_LABELS', 'Click the teeth before writing a record.');
      const file = await writeRecordFile(request, one.scan, labels);
      return give(file, [file.bytes.buffer]);
    },

    async packCase({ content, version, createdAt, passphrase }) {
      const bytes = await writeCaseFile(content, { version, savedAt: createdAt, passphrase });
      const file = { fileName: caseFileName(content), mediaType: 'application/zip', bytes };
      return give(file, [bytes.buffer]);
    },

    async unpackCase(bytes, passphrase) {
      const { content } = await readCaseFile(bytes, passphrase);
      return give(content, [...new Set(content.arches.map((arch) => arch.bytes.buffer))]);
    },

    async ping() {},

    async close(scanId) {
      held.get(scanId)?.practice?.stop();
      held.delete(scanId);
    },
  };
  if (!warm) return service;
  const rehearsal = practise(rehearse, 0);
  return beforeCalls(service, () => rehearsal.stop());
}

/** Rest before the practice, ms: the page draws the scan meanwhile, and nobody has clicked yet. */
const PRACTICE_REST_MS = 400;

/** A file in memory; a refusal names it. */
async function wholeOf(bytes: Uint8Array | Blob, { fileName }: OpenOptions): Promise<Uint8Array> {
  if (bytes instanceof Uint8Array) return bytes;
  try {
    return await readBlob(bytes);
  } catch (fault) {
    throw namingFile(fault, fileName);
  }
}

/** What crosses to the page: a copy of the labels, without the solver's memory. */
function segmentReply({ labels, frame, warnings }: Segmentation): SegmentReply {
  return { labels: labels.slice(), frame, warnings };
}
