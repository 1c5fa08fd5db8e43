import { completePlan } from '../closure/complete-plan.ts';
import type { OpposingScan } from '../closure/room.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../closure/settings.ts';
import type { ClosurePlan, ClosureSettings, FlossFinding } from '../closure/types.ts';
import { cutSection } from '../contacts/cut-section.ts';
import type { Analysis, SectionProfile } from '../contacts/types.ts';
import { ArchgapError } from '../geometry/archgap-error.ts';
import type { JobControl } from '../geometry/job-control.ts';
import { writeContactsCsv } from '../report/contacts-csv.ts';
import { writeLabelledPly } from '../report/labelled-ply.ts';
import type { RecordHeading } from '../report/record-heading.ts';
import { writeReportHtml } from '../report/report-html.ts';
import { writeTeethCsv } from '../report/teeth-csv.ts';
import { writeResultJson } from '../report/write-result-json.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import type { Measured } from './measure-scan-file.ts';

/** The plan of the record; or why the arch cannot be planned. */
export interface DefaultPlan {
  readonly plan: ClosurePlan | null;
  readonly refusal: string | null;
}

/**
 * The settings of the last default plan. An object of its own for every scan of a batch would be a class of its own to
 * the engine, which would compile anew all that reads it (docs/decisions/0008-code-that-outlives-a-scan.md).
 */
let settingsBefore: ClosureSettings = DEFAULT_CLOSURE_SETTINGS;

function defaultSettings(limitMm: number, numbering: NumberingScheme): ClosureSettings {
  if (settingsBefore.limitMm !== limitMm || settingsBefore.numbering !== numbering)
    settingsBefore = { ...DEFAULT_CLOSURE_SETTINGS, limitMm, numbering };
  return settingsBefore;
}

/** The plan with the default settings. */
export function planDefault(
  measured: Measured,
  numbering: NumberingScheme,
  job: JobControl,
): Promise<DefaultPlan> {
  const { limitMm } = measured.analysis.settings;
  return planRecord(measured, defaultSettings(limitMm, numbering), null, job);
}

/**
 * The plan with settings of its own, against an opposing arch where there is one.
 * @param opposingArch - what was measured on it, for the tooth widths; null when it was not
 */
export async function planRecord(
  { analysis, surface, labels }: Measured,
  settings: ClosureSettings,
  opposing: OpposingScan | null,
  job: JobControl,
  opposingArch: Analysis | null = null,
): Promise<DefaultPlan> {
  try {
    const plan = await completePlan(
      analysis,
      settings,
      { mesh: surface, labels, opposing },
      job,
      opposingArch,
    );
    return { plan, refusal: null };
  } catch (fault) {
    if (fault instanceof ArchgapError && fault.kind === 'input')
      return { plan: null, refusal: fault.message };
    throw fault;
  }
}

/** Names of what one measurement writes. */
export const RESULT_FILES = [
  'contacts.csv',
  'teeth.csv',
  'result.json',
  'labelled.ply',
  'report.html',
] as const;
type ResultFile = (typeof RESULT_FILES)[number];

/** What the files say beside the measurement. */
interface ResultFilesOptions {
  readonly numbering: NumberingScheme;
  readonly version: string;
  /** ISO date and time of the record; null: undated. */
  readonly createdAt: string | null;
  readonly caseLabel?: string;
  /** The note for the order where it was edited by hand. */
  readonly note?: string | null;
  /** Whose record it is, and what floss said: for the report. */
  readonly heading?: RecordHeading;
  readonly floss?: readonly FlossFinding[];
}

/**
 * Names and contents of what one measurement writes, each made when it is asked for: the labelled file is as large as
 * the scan, so that nobody should hold it longer than it is written.
 */
export function* resultFiles(
  { analysis, surface, labels, crownViews }: Measured,
  { plan, refusal }: DefaultPlan,
  { numbering, version, createdAt, caseLabel, note, heading, floss }: ResultFilesOptions,
): Generator<readonly [name: ResultFile, bytes: Uint8Array]> {
  const text = (content: string) => new TextEncoder().encode(content);
  yield ['contacts.csv', text(writeContactsCsv(analysis))];
  yield ['teeth.csv', text(writeTeethCsv(analysis))];
  yield ['result.json', text(writeResultJson(analysis, { version }))];
  yield ['labelled.ply', writeLabelledPly(surface, labels)];
  // The pictures of separate crowns hold their cuts.
  const sections: SectionProfile[] = crownViews
    ? []
    : analysis.contacts
        .filter((contact) => contact.gap !== null)
        .map((contact) => cutSection(surface, { labels }, analysis, contact));
  const report = writeReportHtml({
    analysis,
    plan,
    sections,
    crownViews: crownViews ?? [],
    numbering,
    version,
    createdAt,
    ...(caseLabel === undefined ? {} : { caseLabel }),
    note: note ?? null,
    ...(heading === undefined ? {} : { heading }),
    ...(floss === undefined ? {} : { floss }),
    ...(refusal === null ? {} : { planRefusal: refusal }),
  });
  yield ['report.html', text(report)];
}
