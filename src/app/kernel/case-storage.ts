import * as v from 'valibot';
import { archInputsSchema } from '../../casefile/arch-inputs-schema.ts';
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

const storedCase = v.object({
  version: v.literal(1),
  id: v.string(),
  fileName: v.string(),
  demo: v.boolean(),
  unit: v.nullable(v.picklist(['mm', 'cm', 'm', 'in'])),
  savedAt: v.number(),
  inputs: archInputsSchema,
});

/** A stored case as read back, or null when it is of another version or damaged. */
export function readStoredCase(value: unknown): StoredCase | null {
  const result = v.safeParse(storedCase, value);
  return result.success ? result.output : null;
}
