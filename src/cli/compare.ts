import { cutSection } from '../contacts/cut-section.ts';
import { type EarlierCase, type FollowUp, measureFollowUp } from '../contacts/follow-up.ts';
import { readScannerProfile } from '../contacts/scanner-profile.ts';
import type { Analysis, MeasureSettings } from '../contacts/types.ts';
import { inputError, usageError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import { changesHeadline, describeChange } from '../report/change-words.ts';
import { writeCompareCsv } from '../report/compare-csv.ts';
import { alignmentSentence, writeCompareHtml } from '../report/compare-html.ts';
import { writeCompareJson } from '../report/compare-json.ts';
import { writeContactsCsv } from '../report/contacts-csv.ts';
import { writeLabelledPly } from '../report/labelled-ply.ts';
import { readLabelledPly } from '../report/read-labelled-ply.ts';
import { type PlannedOutcome, type ReadPlan, readPlanJson } from '../report/read-plan-json.ts';
import { readResultJson } from '../report/read-result-json.ts';
import { writeTeethCsv } from '../report/teeth-csv.ts';
import { writeResultJson } from '../report/write-result-json.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit, Scan } from '../scan/types.ts';
import { parseClickFile, writeClickFile } from '../teeth/clicks.ts';
import { sentenceIn } from '../teeth/sentence-in.ts';
import type { ClickSet, NumberingScheme } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { namingTheUnit, readClickedScan } from './measure-scan-file.ts';
import { makeOutputSet } from './output-set.ts';
import { ofFile, readBytes, readDocument, withOpenFile } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { besideResult, findResult } from './result-beside.ts';
import { stalePlanNotes } from './stale-plan.ts';
import { makeTerminalJob } from './terminal-progress.ts';

export interface CompareOptions {
  /** Clicks on the new scan; carried over from the earlier case when left out. */
  readonly clicks?: string;
  readonly out: string;
  readonly limit?: number;
  /** File with the terms of the new scan's scanner; those of the earlier result when left out. */
  readonly scanner?: string;
  readonly unit?: LengthUnit;
  readonly numbering: NumberingScheme;
}

/** The last digit that plan.json writes. */
const AS_WRITTEN_MM = 1e-6;

/** An earlier case as it lies in its folder. */
interface EarlierFolder extends EarlierCase {
  readonly plan: PlannedOutcome | null;
  readonly notes: readonly string[];
}

/**
 * `archgap compare`: an earlier result and a new scan to what changed at every contact.
 * @param before - folder of the earlier result, or the result itself
 */
export async function compare(
  before: string,
  scanPath: string,
  options: CompareOptions,
  io: CliIo,
): Promise<void> {
  const { files } = io;
  requireFolderName(options.out);
  const resultPath = findResult(before, files);
  if (files.resolve(options.out) === files.parent(files.resolve(resultPath))) {
    throw usageError('OUT_IS_EARLIER', '--out names the folder of the earlier case; name another one.');
  }
  const job = makeTerminalJob(io);
  // The earlier files are named one by one: by a link, the folder may be the same under another name.
  const earlierFiles = ['labelled.ply', 'plan.json'].map((name) => besideResult(resultPath, name, files));
  const outputs = makeOutputSet(io, [
    ...[scanPath, options.clicks, options.scanner].flatMap((one) => one ?? []),
    resultPath,
    ...earlierFiles,
  ]);
  try {
    await outputs.prepareFolder(options.out);
    const earlier = await readEarlier(resultPath, io);
    const { scan, given } = await readNew(scanPath, options, io, subJob(job, 0, 0.2));
    const settings: MeasureSettings = {
      ...earlier.analysis.settings,
      ...(options.limit === undefined ? {} : { limitMm: options.limit }),
      ...(options.scanner === undefined
        ? {}
        : { scanner: await readDocument(io, options.scanner, readScannerProfile) }),
    };
    const isStated = options.scanner !== undefined;
    const followUp = await namingTheUnit(scan, () =>
      measureFollowUp(earlier, scan, given, settings, subJob(job, 0.2, 0.95), isStated),
    );
    for (const [name, content] of compareFiles(earlier, followUp, scan, options.numbering, io)) {
      const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
      await outputs.stage(files.join(options.out, name), bytes);
    }
    await job.checkpoint(1, 'writing the files');
    outputs.commit();
    job.clear();
    const notes = await stalePlanNotes(options.out, io);
    await io.out.write(summary(earlier, followUp, notes, options, io));
  } finally {
    job.clear();
    outputs.discard();
  }
}

async function readEarlier(resultPath: string, io: CliIo): Promise<EarlierFolder> {
  const at = (name: string): string => besideResult(resultPath, name, io.files);
  const analysis = await readDocument(io, resultPath, readResultJson);
  if (analysis.kind === 'crowns') {
    throw inputError(
      'EARLIER_IS_CROWNS',
      'The earlier case holds separate crowns; a new scan is compared with an earlier scan.',
    );
  }
  const labelled = await readBytes(io, at('labelled.ply'));
  const { mesh, labels } = ofFile(at('labelled.ply'), () => readLabelledPly(labelled, analysis.originMm));
  const triangles = analysis.health?.triangles;
  if (triangles !== undefined && triangles !== labels.length) {
    throw inputError(
      'EARLIER_MISMATCH',
      `labelled.ply of the earlier case has ${labels.length} triangles, its result.json ${triangles}; expected both from one measurement. Measure the earlier scan again.`,
    );
  }
  const { plan, notes } = await readPlan(at('plan.json'), analysis, io);
  return { analysis, mesh, labels, planned: plan?.planned ?? [], plan, notes };
}

/** A folder without a plan is as good; a plan of another scan is told and left aside. */
async function readPlan(
  path: string,
  analysis: Analysis,
  io: CliIo,
): Promise<{ plan: PlannedOutcome | null; notes: string[] }> {
  let plan: ReadPlan;
  try {
    plan = await readDocument(io, path, readPlanJson);
  } catch (fault) {
    if (fault instanceof Error && 'code' in fault && fault.code === 'FILE_NOT_FOUND') {
      return { plan: null, notes: ['No plan.json in the earlier folder; the changes stand for themselves.'] };
    }
    throw fault;
  }
  const known = analysis.sources.map((source) => source.sha256);
  if (!plan.sha256.every((hash) => known.includes(hash))) {
    return {
      plan: null,
      notes: ['Note PLAN_OF_ANOTHER_SCAN: plan.json was made for another scan and is not used.'],
    };
  }
  if (!isPlanOf(plan, analysis)) {
    return {
      plan: null,
      notes: [
        'Note PLAN_OF_ANOTHER_MEASUREMENT: plan.json was made from other measurements of that scan and is not used; plan the earlier result again.',
      ],
    };
  }
  return plan.span === null
    ? { plan: null, notes: ['The plan of the earlier case proposes no stages.'] }
    : { plan, notes: [] };
}

/**
 * Whether the plan began with the spaces of this measurement; with other clicks they are others. The fingerprint of the
 * result does not decide: a result that was saved again may still hold the same spaces.
 */
function isPlanOf({ before }: ReadPlan, { contacts }: Analysis): boolean {
  return before.every(({ toothA, toothB, beforeMm }) => {
    const contact = contacts.find((one) => one.toothA === toothA && one.toothB === toothB);
    // At an edentulous space a plan counts nothing.
    if (contact === undefined || contact.status === 'missing-tooth') return beforeMm === null;
    const measuredMm = contact.gap?.valueMm ?? null;
    if (measuredMm === null || beforeMm === null) return measuredMm === beforeMm;
    return Math.abs(measuredMm - beforeMm) <= AS_WRITTEN_MM;
  });
}

/**
 * The new scan, with the clicks on it where there are any.
 * @throws ArchgapError as `readScan` and `readClickedScan`, and `UNIT_NOT_SAID`
 */
async function readNew(
  path: string,
  options: CompareOptions,
  io: CliIo,
  job: JobControl,
): Promise<{ readonly scan: Scan; readonly given: ClickSet | null }> {
  const about = { fileName: io.files.baseName(path), unit: options.unit ?? null };
  if (options.clicks === undefined) {
    const scan = await withOpenFile(io, path, (file) => readScan(file, { ...about, control: job }));
    const { sure, basis, sentence } = scan.source.unit;
    // With clicks their file says the unit; here a guess would decide it.
    if (!sure && basis !== 'user') {
      throw inputError('UNIT_NOT_SAID', `"${about.fileName}": ${sentence} Say --unit, or give --clicks.`);
    }
    return { scan, given: null };
  }
  const clicks = await readDocument(io, options.clicks, parseClickFile);
  const clicksName = options.clicks;
  const read = await withOpenFile(io, path, (file) =>
    readClickedScan({ ...about, file, clicks, clicksName }, job),
  );
  return { scan: read.scan, given: read.clicks };
}

function compareFiles(
  earlier: EarlierFolder,
  followUp: FollowUp,
  scan: Scan,
  numbering: NumberingScheme,
  io: CliIo,
): (readonly [string, string | Uint8Array])[] {
  const { version } = io;
  const { analysis, segmentation, clicks } = followUp;
  const { labels } = segmentation;
  const sections = analysis.contacts
    .filter((contact) => contact.gap !== null)
    .map((contact) => cutSection(scan, { labels }, analysis, contact));
  const report = writeCompareHtml({
    earlier: earlier.analysis,
    followUp,
    plan: earlier.plan,
    sections,
    numbering,
    version,
    createdAt: io.now().toISOString(),
  });
  return [
    ['compare.csv', writeCompareCsv(earlier.analysis, followUp)],
    [
      'compare.json',
      writeCompareJson(earlier.analysis, followUp, { version, planned: earlier.plan !== null }),
    ],
    ['clicks.json', writeClickFile(clicks, scan)],
    ['contacts.csv', writeContactsCsv(analysis)],
    ['teeth.csv', writeTeethCsv(analysis)],
    ['result.json', writeResultJson(analysis, { version })],
    ['labelled.ply', writeLabelledPly(scan, labels)],
    ['report.html', report],
  ];
}

function summary(
  earlier: EarlierFolder,
  followUp: FollowUp,
  notes: readonly string[],
  { numbering, out }: CompareOptions,
  io: CliIo,
): string {
  const told = followUp.changes.filter(({ kind }) => kind !== 'unchanged' && kind !== 'not-comparable');
  const lines = [
    changesHeadline(followUp.changes, numbering),
    alignmentSentence(followUp),
    ...told.map((change) => `  ${describeChange(change, numbering)}`),
    ...earlier.notes,
    ...[...followUp.warnings, ...followUp.analysis.warnings].map(
      (warning) => `Note ${warning.code}: ${sentenceIn(warning, numbering)}`,
    ),
    ...notes,
    `Wrote compare.csv, compare.json, the files of the new scan and report.html to ${io.files.join(out, '')}`,
  ];
  return `${[...new Set(lines)].join('\n')}\n`;
}
