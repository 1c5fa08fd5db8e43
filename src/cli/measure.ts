import { completePlan } from '../closure/complete-plan.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../closure/settings.ts';
import type { ClosurePlan } from '../closure/types.ts';
import { cutSection } from '../contacts/cut-section.ts';
import { measureContacts } from '../contacts/measure-contacts.ts';
import { measureCrowns } from '../contacts/measure-crowns.ts';
import { mergeCrowns } from '../contacts/merge-crowns.ts';
import { readScannerProfile } from '../contacts/scanner-profile.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../contacts/settings.ts';
import type { Analysis, MeasureSettings, SectionProfile } from '../contacts/types.ts';
import { ArchgapError, inputError, usageError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import { contactsHeadline, contactsRemainder, planHeadline } from '../report/answer-words.ts';
import { describeContact } from '../report/contact-words.ts';
import { writeContactsCsv } from '../report/contacts-csv.ts';
import { type LabelledSurface, writeLabelledPly } from '../report/labelled-ply.ts';
import { writeReportHtml } from '../report/report-html.ts';
import { writeResultJson } from '../report/result-json.ts';
import { writeTeethCsv } from '../report/teeth-csv.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit, Scan } from '../scan/types.ts';
import { type ClickFile, clicksToScanFrame, parseClickFile, snapClicks } from '../teeth/clicks.ts';
import { archOrder, formatTooth, jawOf, toothSortIndex } from '../teeth/notation.ts';
import { prepareTeeth } from '../teeth/prepare-teeth.ts';
import { segmentTeeth } from '../teeth/segment-teeth.ts';
import type { Jaw, NumberingScheme, ToothMap, ToothNumber, ToothWarning } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import type { CrownOption } from './option-values.ts';
import { makeOutputSet } from './output-set.ts';
import { readBytes, readText } from './read-input.ts';
import { makeTerminalJob } from './terminal-progress.ts';

export interface MeasureOptions {
  readonly clicks?: string;
  readonly crown?: readonly CrownOption[];
  readonly jaw?: Jaw;
  readonly out: string;
  readonly limit?: number;
  readonly unit?: LengthUnit;
  /** File with the terms of the scanner. */
  readonly scanner?: string;
  readonly numbering: NumberingScheme;
}

/** What a measurement leaves to be written. */
interface Measured {
  readonly analysis: Analysis;
  /** The surface that was measured, with its labels: for sections and the labelled file. */
  readonly surface: LabelledSurface;
  readonly labels: ToothMap;
  readonly warnings: readonly ToothWarning[];
}

/** `archgap measure`: one scan with clicks, or separate crowns, to the contact files. */
export async function measure(
  scanPath: string | undefined,
  options: MeasureOptions,
  io: CliIo,
): Promise<void> {
  const sources = checkSources(scanPath, options);
  if (options.out === '-' || options.out === '') {
    throw usageError(
      'OUT_NOT_A_FOLDER',
      '--out names a folder for several files; standard output cannot take them.',
    );
  }
  const settings: MeasureSettings = {
    ...DEFAULT_MEASURE_SETTINGS,
    ...(options.limit === undefined ? {} : { limitMm: options.limit }),
    ...(options.scanner === undefined
      ? {}
      : { scanner: readScannerProfile(await readText(io, options.scanner)) }),
  };
  const inputs = [
    ...(sources.kind === 'scan' ? [sources.scan, sources.clicks] : sources.crowns.map(({ path }) => path)),
    ...(options.scanner === undefined ? [] : [options.scanner]),
  ];
  const job = makeTerminalJob(io);
  const outputs = makeOutputSet(io, inputs);
  try {
    await outputs.prepareFolder(options.out);
    const measured =
      sources.kind === 'scan'
        ? await measureScan(sources.scan, sources.clicks, options.unit ?? null, settings, io, job)
        : await measureSeparate(sources.crowns, sources.jaw, options.unit ?? null, settings, io, job);
    const closure = await planDefault(measured, options.numbering, subJob(job, 0.95, 1));
    for (const [name, content] of measureFiles(measured, closure, options.numbering, io)) {
      const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
      await outputs.stage(io.files.join(options.out, name), bytes);
    }
    await job.checkpoint(1, 'writing the files');
    outputs.commit();
    job.clear();
    await io.out.write(summary(measured, closure, options, io));
  } finally {
    job.clear();
    outputs.discard();
  }
}

type Sources =
  | { readonly kind: 'scan'; readonly scan: string; readonly clicks: string }
  | { readonly kind: 'crowns'; readonly crowns: readonly CrownOption[]; readonly jaw: Jaw };

/** Which of the two ways was asked for. */
function checkSources(scan: string | undefined, options: MeasureOptions): Sources {
  const { clicks, crown, jaw } = options;
  if (crown && crown.length > 0) {
    if (scan !== undefined || clicks !== undefined) {
      throw usageError(
        'SCAN_OR_CROWNS',
        'Give either a scan with --clicks, or separate crowns with --crown, not both.',
      );
    }
    if (jaw === undefined)
      throw usageError('JAW_MISSING', 'Separate crowns need --jaw upper or --jaw lower.');
    const stray = crown.find(({ tooth }) => jawOf(tooth) !== jaw);
    if (stray) {
      throw usageError(
        'TOOTH_WRONG_JAW',
        `Tooth ${stray.tooth} belongs to the ${jawOf(stray.tooth)} jaw, but --jaw says ${jaw}.`,
      );
    }
    if (crown.length < 2)
      throw usageError('ONE_CROWN', 'One crown has no neighbour; give at least two with --crown.');
    return { kind: 'crowns', crowns: crown, jaw };
  }
  if (scan === undefined) {
    throw usageError(
      'NO_SCAN',
      'Give a scan with --clicks, or separate crowns with --crown TOOTH=FILE and --jaw.',
    );
  }
  if (clicks === undefined) {
    throw usageError('NO_CLICKS_FILE', 'A scan needs --clicks CLICKS.json with one click per tooth.');
  }
  if (jaw !== undefined) {
    throw usageError('JAW_TWICE', '--jaw goes with --crown; with a scan the click file names the jaw.');
  }
  return { kind: 'scan', scan, clicks };
}

async function measureScan(
  scanPath: string,
  clicksPath: string,
  unit: LengthUnit | null,
  settings: MeasureSettings,
  io: CliIo,
  job: JobControl,
): Promise<Measured> {
  const clickFile = parseClickFile(await readText(io, clicksPath));
  const bytes = await readBytes(io, scanPath);
  const read = (asUnit: LengthUnit | null) =>
    readScan(bytes, { fileName: io.files.baseName(scanPath), unit: asUnit, control: subJob(job, 0, 0.3) });
  let scan = await read(unit);
  // Two units may fit the size of a scan; the click file then settles which.
  if (!scan.source.unit.sure && unit === null && clickFile.unit !== scan.source.unit.unit) {
    scan = await read(clickFile.unit);
  }
  const asked = clicksInUnitOf(scan, clickFile, unit);
  try {
    return await measureClicked(scan, asked, settings, job);
  } catch (fault) {
    throw namingTheUnit(fault, scan);
  }
}

async function measureClicked(
  scan: Scan,
  asked: ClickFile,
  settings: MeasureSettings,
  job: JobControl,
): Promise<Measured> {
  const clicks = snapClicks(scan, clicksToScanFrame(asked, scan));
  const base = await prepareTeeth(scan, subJob(job, 0.3, 0.55));
  await job.checkpoint(0.55, 'telling the teeth apart');
  const segmentation = segmentTeeth(base, clicks);
  const analysis = await measureContacts(scan, clicks, segmentation, settings, subJob(job, 0.65, 0.95));
  return { analysis, surface: scan, labels: segmentation.labels, warnings: segmentation.warnings };
}

/** Where a stated unit makes no size of teeth, that is the likelier cause of whatever else does not fit. */
function namingTheUnit(fault: unknown, { source: { unit } }: Scan): unknown {
  const isCause = fault instanceof ArchgapError && fault.kind === 'input';
  if (!isCause || unit.sure || unit.basis !== 'user') return fault;
  return inputError('UNIT_IMPLAUSIBLE', `${unit.sentence} ${fault.message}`, { cause: fault });
}

/** The clicks stand in the file's own numbers, so one unit holds for both; `--unit` rules both. */
function clicksInUnitOf(scan: Scan, file: ClickFile, said: LengthUnit | null): ClickFile {
  const { unit, sentence } = scan.source.unit;
  if (said !== null || file.unit === unit) return { ...file, unit };
  throw inputError(
    'UNIT_DISAGREES',
    `The click file says ${file.unit}, the scan ${unit}. ${sentence} Correct "unit" in the click file, or say --unit.`,
    { details: { clicks: file.unit, scan: unit } },
  );
}

async function measureSeparate(
  options: readonly CrownOption[],
  jaw: Jaw,
  unit: LengthUnit | null,
  settings: MeasureSettings,
  io: CliIo,
  job: JobControl,
): Promise<Measured> {
  const crowns = [];
  // In arch order, so that files and teeth of the analysis stand in one order.
  const sorted = [...options].sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
  for (const [k, { tooth, path }] of sorted.entries()) {
    const control = subJob(job, (0.4 * k) / options.length, (0.4 * (k + 1)) / options.length);
    const scan = await readScan(await readBytes(io, path), {
      fileName: io.files.baseName(path),
      unit,
      control,
    });
    crowns.push({ tooth, scan });
  }
  const analysis = await measureCrowns(crowns, jaw, settings, subJob(job, 0.4, 0.95));
  const { mesh, labels, originMm } = mergeCrowns(crowns);
  return { analysis, surface: { ...mesh, colors: null, originMm }, labels, warnings: [] };
}

/** The plan of the record, with the default settings; or why the arch cannot be planned. */
interface DefaultPlan {
  readonly plan: ClosurePlan | null;
  readonly refusal: string | null;
}

async function planDefault(
  { analysis, surface, labels }: Measured,
  numbering: NumberingScheme,
  job: JobControl,
): Promise<DefaultPlan> {
  try {
    const settings = { ...DEFAULT_CLOSURE_SETTINGS, limitMm: analysis.settings.limitMm, numbering };
    const plan = await completePlan(analysis, settings, { mesh: surface, labels }, job);
    return { plan, refusal: null };
  } catch (fault) {
    if (fault instanceof ArchgapError && fault.kind === 'input')
      return { plan: null, refusal: fault.message };
    throw fault;
  }
}

function measureFiles(
  { analysis, surface, labels }: Measured,
  { plan, refusal }: DefaultPlan,
  numbering: NumberingScheme,
  io: CliIo,
): (readonly [string, string | Uint8Array])[] {
  const sections: SectionProfile[] = analysis.contacts
    .filter((contact) => contact.gap !== null)
    .map((contact) => cutSection(surface, { labels }, analysis, contact));
  const { version } = io;
  const report = writeReportHtml({
    analysis,
    plan,
    sections,
    numbering,
    version,
    createdAt: io.now().toISOString(),
    ...(refusal === null ? {} : { planRefusal: refusal }),
  });
  return [
    ['contacts.csv', writeContactsCsv(analysis)],
    ['teeth.csv', writeTeethCsv(analysis)],
    ['result.json', writeResultJson(analysis, { version })],
    ['labelled.ply', writeLabelledPly(surface, labels)],
    ['report.html', report],
  ];
}

function summary(
  { analysis, warnings }: Measured,
  { plan, refusal }: DefaultPlan,
  { numbering, out }: MeasureOptions,
  io: CliIo,
): string {
  const lines = [
    contactsHeadline(analysis, numbering),
    ...contactsRemainder(analysis, numbering),
    ...analysis.contacts
      .filter((contact) => contact.gap !== null)
      .map((contact) => `  ${describeContact(contact, numbering)}`),
    plan ? planHeadline(plan, numbering) : `No closure plan: ${refusal ?? ''}`,
    ...unclickedTeeth(analysis).map(
      (tooth) =>
        `Note TOOTH_WITHOUT_CLICK: tooth ${formatTooth(tooth, numbering)} has no click and is not marked missing; its site is taken to be empty.`,
    ),
    ...[...scanWarnings(analysis), ...analysis.warnings, ...warnings].map(
      ({ code, sentence }) => `Note ${code}: ${sentence}`,
    ),
    `Wrote contacts.csv, teeth.csv, result.json, labelled.ply and report.html to ${io.files.join(out, '')}`,
  ];
  return `${[...new Set(lines)].join('\n')}\n`;
}

/** What the checks of the scan found that bears on the measurement; of separate crowns it is among the warnings. */
function scanWarnings({ health }: Analysis): readonly ToothWarningText[] {
  return health?.findings.filter(({ severity }) => severity === 'warning') ?? [];
}

type ToothWarningText = Pick<ToothWarning, 'code' | 'sentence'>;

/** Teeth between two neighbours that nobody clicked or called missing. */
function unclickedTeeth(analysis: Analysis): ToothNumber[] {
  const order = archOrder(analysis.jaw);
  return analysis.contacts
    .flatMap(({ toothA, toothB }) => order.slice(order.indexOf(toothA) + 1, order.indexOf(toothB)))
    .filter((tooth) => !analysis.missing.includes(tooth));
}
