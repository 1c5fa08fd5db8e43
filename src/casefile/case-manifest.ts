import * as v from 'valibot';
import { inputError } from '../geometry/archgap-error.ts';
import { schemaFault } from '../geometry/schema-fault.ts';
import { checkClickSet } from '../teeth/clicks.ts';
import { archInputsSchema, MOST_EARLIER_SCANS, originSchema, unitSchema } from './arch-inputs-schema.ts';
import { type Json, toSnake, withFileNames, withProgramNames } from './key-names.ts';
import type { ArchInputs, CaseScan } from './types.ts';

export const CASE_SCHEMA = 'archgap-case/1';
const CASE_SCHEMA_FAMILY = /^archgap-case\/(\d+)$/;

/** Where a scan lies in the zip: one folder, plain names. */
const SCAN_PATH = /^scans\/[a-z0-9][a-z0-9._-]{0,79}$/;

/** A scan of the case as the manifest describes it. */
interface ManifestFile {
  readonly path: string;
  readonly fileName: string;
  readonly byteLength: number;
  /** Lower-case hex. */
  readonly sha256: string;
}

export interface ManifestScan extends Omit<CaseScan, 'fileName' | 'bytes'> {
  readonly scan: ManifestFile;
}

export interface ManifestArch extends ManifestScan {
  readonly earlier?: readonly ManifestScan[];
}

/** `manifest.json` of a case file, with the program's names. */
export interface CaseManifest {
  readonly schema: typeof CASE_SCHEMA;
  /** Version of the program that wrote it. */
  readonly version: string;
  /** ISO date and time. */
  readonly savedAt: string;
  readonly demo: boolean;
  readonly arches: readonly ManifestArch[];
}

const scanEntries = {
  scan: v.object({
    path: v.pipe(v.string(), v.regex(SCAN_PATH)),
    fileName: v.pipe(v.string(), v.minLength(1), v.maxLength(255)),
    byteLength: v.pipe(v.number(), v.integer(), v.minValue(1)),
    sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)),
  }),
  unit: unitSchema,
  originMm: originSchema,
  inputs: archInputsSchema,
};

const manifestSchema = v.object({
  schema: v.literal(CASE_SCHEMA),
  version: v.pipe(v.string(), v.maxLength(40)),
  savedAt: v.pipe(v.string(), v.maxLength(40)),
  demo: v.boolean(),
  arches: v.pipe(
    v.array(
      v.object({
        ...scanEntries,
        earlier: v.exactOptional(v.pipe(v.array(v.object(scanEntries)), v.maxLength(MOST_EARLIER_SCANS))),
      }),
    ),
    v.minLength(1),
    v.maxLength(2),
  ),
});

/** The text of `manifest.json`. */
export function writeManifest(manifest: CaseManifest): string {
  return `${JSON.stringify(withFileNames(manifest as unknown as Json), null, 2)}\n`;
}

/**
 * Reads the text of `manifest.json`.
 *
 * @throws ArchgapError `CASE_FILE_NOT_JSON`, `CASE_FILE_NOT_OURS`, `CASE_FILE_NEWER`, `CASE_FILE_INVALID`
 */
export function readManifest(text: string): CaseManifest {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch (cause) {
    throw inputError(
      'CASE_FILE_NOT_JSON',
      'The manifest of the case file is not JSON, so the file is damaged; take another copy of it.',
      { cause },
    );
  }
  checkVersion(raw);
  const result = v.safeParse(manifestSchema, withProgramNames(raw as Json));
  if (!result.success) {
    const issue = result.issues[0];
    const place = toSnake(v.getDotPath(issue) ?? 'the top level');
    throw invalid(schemaFault(issue, manifestSchema), ` at ${place}`);
  }
  const manifest: CaseManifest = result.output;
  const [first, second] = manifest.arches;
  const scans = scansOf(manifest);
  if (new Set(scans.map(({ scan }) => scan.path)).size < scans.length)
    throw invalid('two scans lie under one name');
  if (second?.inputs.jaw && second.inputs.jaw === first?.inputs.jaw) {
    throw invalid(`both arches are called ${second.inputs.jaw}`);
  }
  for (const { inputs: newest, earlier = [] } of manifest.arches) {
    if (earlier.some(({ inputs }) => inputs.jaw !== newest.jaw))
      throw invalid('an earlier scan is of another jaw than the newest one');
  }
  for (const { inputs, originMm } of scans) {
    checkInputs(inputs);
    if (originMm === null && inputs.clicks.length > 0)
      throw invalid('clicks without the origin of their frame');
  }
  return manifest;
}

/** Every scan of the case. */
export function scansOf({ arches }: Pick<CaseManifest, 'arches'>): ManifestScan[] {
  return arches.flatMap((arch) => [arch, ...(arch.earlier ?? [])]);
}

function checkVersion(raw: unknown): void {
  const schema =
    typeof raw === 'object' && raw !== null && Object.hasOwn(raw, 'schema')
      ? (raw as { schema: unknown }).schema
      : null;
  if (schema === CASE_SCHEMA) return;
  const serial = typeof schema === 'string' ? CASE_SCHEMA_FAMILY.exec(schema)?.[1] : undefined;
  if (serial === undefined) {
    throw inputError(
      'CASE_FILE_NOT_OURS',
      'The zip holds a manifest.json of something else, not a case; unpack it and open the scan inside.',
    );
  }
  throw inputError(
    'CASE_FILE_NEWER',
    `The case file is of version ${serial}, this program knows version 1; open it with a newer one. Nothing of it was read.`,
    { details: { found: Number(serial), known: 1 } },
  );
}

/** The click rules that hold for every click set hold here as well. */
function checkInputs({ jaw, clicks, missing, fixed }: ArchInputs): void {
  if (jaw !== null) checkClickSet({ jaw, clicks, missing, fixed });
  else if (clicks.some((click) => click.tooth !== 'gum'))
    throw invalid('teeth are clicked, but no jaw is named');
}

function invalid(what: string, where = ''): Error {
  return inputError(
    'CASE_FILE_INVALID',
    `The manifest of the case file is wrong${where}: ${what}. Take another copy of the file, or save the case again.`,
    { details: { what } },
  );
}
