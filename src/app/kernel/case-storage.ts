import * as v from 'valibot';
import { isToothNumber } from '../../teeth/notation.ts';
import type { CaseInputs } from './case-inputs.ts';

/** A case as it lies on the device, without the scan's bytes. */
export interface StoredCase {
  readonly version: 1;
  readonly id: string;
  /** Name of the scan file. */
  readonly fileName: string;
  /** The built-in demo, so that the page keeps saying so. */
  readonly demo: boolean;
  /** The user's word for the unit, null = decided from the size. */
  readonly unit: 'mm' | 'cm' | 'm' | 'in' | null;
  readonly inputs: CaseInputs;
  /** Milliseconds since 1970. */
  readonly savedAt: number;
}

/** Where cases are kept. The page gives an IndexedDB one; tests give a map. */
export interface CaseStorage {
  /** Newest first. Entries that cannot be read are left out. */
  list(): Promise<StoredCase[]>;
  scanOf(id: string): Promise<Uint8Array | null>;
  putScan(id: string, bytes: Uint8Array): Promise<void>;
  put(stored: StoredCase): Promise<void>;
  remove(id: string): Promise<void>;
}

const mm = v.pipe(v.number(), v.finite());
const tooth = v.pipe(v.number(), v.check(isToothNumber));
const part = v.nullable(v.picklist(['anterior', 'posterior', 'none']));
const positive = v.pipe(v.number(), v.finite(), v.gtValue(0));

const storedCase = v.object({
  version: v.literal(1),
  id: v.string(),
  fileName: v.string(),
  demo: v.boolean(),
  unit: v.nullable(v.picklist(['mm', 'cm', 'm', 'in'])),
  savedAt: v.number(),
  inputs: v.object({
    jaw: v.nullable(v.picklist(['upper', 'lower'])),
    clicks: v.array(v.object({ tooth: v.union([tooth, v.literal('gum')]), point: v.tuple([mm, mm, mm]) })),
    missing: v.array(tooth),
    fixed: v.array(tooth),
    floss: v.array(
      v.object({
        toothA: tooth,
        toothB: tooth,
        finding: v.picklist(['open', 'closed']),
        spaceMm: v.exactOptional(v.nullable(positive)),
      }),
    ),
    limitMm: v.pipe(mm, v.minValue(0)),
    closure: v.object({
      maxStages: v.pipe(v.number(), v.integer(), v.minValue(1)),
      perStageMm: positive,
      perStageRad: positive,
      expression: v.pipe(positive, v.maxValue(1)),
      rotationArmMm: positive,
      moved: part,
      reduction: part,
      spanRule: v.exactOptional(v.picklist(['shortest', 'widens-nothing', 'terminal-molars'])),
    }),
    note: v.exactOptional(v.nullable(v.object({ text: v.string(), basis: v.string() }))),
  }),
});

/** A stored case as read back, or null when it is of another version or damaged. */
export function readStoredCase(value: unknown): StoredCase | null {
  const result = v.safeParse(storedCase, value);
  return result.success ? result.output : null;
}
