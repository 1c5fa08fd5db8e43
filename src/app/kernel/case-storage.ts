import * as v from 'valibot';
import {
  archInputsSchema,
  MOST_EARLIER_SCANS,
  originSchema,
  unitSchema,
} from '../../casefile/arch-inputs-schema.ts';
import type { CaseScan } from '../../casefile/types.ts';
import type { KeptBeside } from './kept-beside.ts';
import { type KeptSteps, OPTIONAL_FIELDS } from './kept-steps.ts';

const NO_STEPS: KeptSteps = { undo: [], redo: [] };

/** A scan as it lies on the device: its bytes lie beside it under a key of their own. */
export interface StoredScan extends Omit<CaseScan, 'bytes'> {
  readonly scanKey: string;
}

/** An arch as it lies on the device. */
export interface StoredArch extends StoredScan {
  /** Undo and redo; cases of an earlier version have none. */
  readonly steps?: KeptSteps;
  /** Scans of it before this one, oldest first. */
  readonly earlier?: readonly StoredScan[];
}

/** A case as it lies on the device, without the scans' bytes. */
export interface StoredCase {
  readonly version: 2;
  readonly id: string;
  /** The built-in demo, so that the page keeps saying so. */
  readonly demo: boolean;
  /** The arch being worked on comes first. */
  readonly arches: readonly [StoredArch] | readonly [StoredArch, StoredArch];
  /** Undo and redo of what scans the case has; scans that only they lead to are gone with the case. */
  readonly beside?: KeptBeside<StoredArch>;
  /** Milliseconds since 1970. */
  readonly savedAt: number;
}

/** What lies on the device. */
interface StoredCases {
  /** Newest first. */
  readonly cases: readonly StoredCase[];
  /** Cases that this program cannot read: of a newer version, or damaged. They are left as they are. */
  readonly unreadable: number;
}

/** Name of the error of a save that would put an older state of a case over a newer one. */
const OVERTAKEN = 'OvertakenError';

/**
 * Refuses to put an older state over a newer one: a save that another tab has overtaken, as it was slow.
 *
 * @param onDevice - what lies there now, if anything
 * @throws an error that {@link isOvertaken}
 */
export function refuseOvertaken(stored: StoredCase, onDevice: unknown): void {
  const newest = readStoredCase(onDevice);
  if (newest === null || newest.savedAt <= stored.savedAt) return;
  throw Object.assign(new Error(`A newer state of ${storedName(newest)} was saved meanwhile.`), {
    name: OVERTAKEN,
  });
}

/** Browsers and workers hand errors on by their name. */
export const isOvertaken = (fault: unknown): boolean => nameOf(fault) === OVERTAKEN;

/** What kind of error something thrown is; empty for what is none. */
export function nameOf(fault: unknown): string {
  return typeof fault === 'object' && fault !== null && 'name' in fault ? String(fault.name) : '';
}

/** Where cases are kept. The page gives an IndexedDB one; tests give a map. */
export interface CaseStorage {
  list(): Promise<StoredCases>;
  scanOf(scanKey: string): Promise<Uint8Array | null>;
  /**
   * Writes the case and the scans given, and removes the scans it no longer names: all or nothing, so that a case is
   * whole on the device at every moment.
   * @throws what {@link refuseOvertaken} throws, and what the browser refuses with
   */
  save(stored: StoredCase, scans: ReadonlyMap<string, Uint8Array>): Promise<void>;
  /** Removes a case and all of its scans. */
  remove(id: string): Promise<void>;
}

const place = v.pipe(v.number(), v.integer(), v.minValue(0));
const { clicks, jaw, missing, fixed, floss, limitMm, closure, ...optional } = archInputsSchema.entries;
const stepsSchema = v.array(
  v.object({
    fields: v.object({
      unit: v.exactOptional(unitSchema),
      jaw: v.exactOptional(jaw),
      missing: v.exactOptional(missing),
      fixed: v.exactOptional(fixed),
      floss: v.exactOptional(floss),
      limitMm: v.exactOptional(limitMm),
      closure: v.exactOptional(closure),
      ...optional,
    }),
    absent: v.array(v.picklist(OPTIONAL_FIELDS)),
    clicks: v.nullable(v.object({ at: place, drop: place, put: clicks })),
  }),
);

const storedScan = {
  scanKey: v.string(),
  fileName: v.string(),
  unit: unitSchema,
  originMm: originSchema,
  inputs: archInputsSchema,
};

const storedArch = v.object({
  ...storedScan,
  // Damaged steps cost the undo, not the case.
  steps: v.exactOptional(v.fallback(v.object({ undo: stepsSchema, redo: stepsSchema }), NO_STEPS)),
  earlier: v.exactOptional(v.pipe(v.array(v.object(storedScan)), v.maxLength(MOST_EARLIER_SCANS))),
});

const besideSteps = v.array(
  v.object({
    at: v.object({ arch: place, step: v.pipe(v.number(), v.integer()) }),
    to: v.nullable(place),
    made: v.nullable(place),
    round: v.exactOptional(v.literal(true)),
  }),
);

const storedCase = v.object({
  version: v.literal(2),
  id: v.string(),
  demo: v.boolean(),
  arches: v.union([v.strictTuple([storedArch]), v.strictTuple([storedArch, storedArch])]),
  beside: v.exactOptional(v.object({ aside: v.array(storedArch), undo: besideSteps, redo: besideSteps })),
  savedAt: v.number(),
});

/** Before a case could hold two arches. */
const firstStoredCase = v.object({
  version: v.literal(1),
  id: v.string(),
  fileName: v.string(),
  demo: v.boolean(),
  unit: unitSchema,
  savedAt: v.number(),
  inputs: archInputsSchema,
});

/** A stored case as read back, or null when it is of a newer version or damaged. */
export function readStoredCase(value: unknown): StoredCase | null {
  const result = v.safeParse(storedCase, value);
  if (result.success) return result.output;
  const first = v.safeParse(firstStoredCase, value);
  if (!first.success) return null;
  const { id, fileName, demo, unit, savedAt, inputs } = first.output;
  return { version: 2, id, demo, savedAt, arches: [{ scanKey: id, fileName, unit, originMm: null, inputs }] };
}

/** Whether two records hold the same case, whenever they were saved. */
export function isSameState(a: StoredCase, b: StoredCase): boolean {
  // As read back, fields stand in one order.
  const text = (stored: StoredCase) => JSON.stringify(readStoredCase({ ...stored, savedAt: 0 }));
  return text(a) === text(b);
}

/** The keys of every scan of a case. */
export function scanKeysOf({ arches, beside }: StoredCase): string[] {
  return [...arches, ...(beside?.aside ?? [])].flatMap(({ scanKey, earlier = [] }) => [
    scanKey,
    ...earlier.map((scan) => scan.scanKey),
  ]);
}

/** What a stored case is called in a list. */
export function storedName({ demo, arches }: StoredCase): string {
  return demo ? 'Demo case' : arches.map(({ fileName }) => fileName).join(' and ');
}
