import type { CaseArch, CaseContent, CaseScan } from '../../casefile/types.ts';
import {
  type CaseStorage,
  type StoredArch,
  type StoredCase,
  type StoredScan,
  scanKeysOf,
} from './case-storage.ts';
import type { KeptCase } from './create-files.ts';
import type { KeptSteps } from './kept-steps.ts';

/** Turns the open case into what lies on the device, and back. A scan is written once and found again by its key. */
export interface CaseRecords {
  recordOf(id: string, kept: KeptCase): StoredCase;
  /** The scans of the case that do not lie on the device, by key. */
  unsavedScans(id: string, kept: KeptCase): ReadonlyMap<string, Uint8Array>;
  /** This is how the case lies on the device now; scans that it does not name are gone from there. */
  isSaved(stored: StoredCase): void;
  /** The case of a record; null when a scan of it is gone. */
  caseOf(stored: StoredCase): Promise<KeptCase | null>;
}

const scansOf = ({ arches }: CaseContent) => arches.flatMap((arch) => [arch, ...(arch.earlier ?? [])]);

export function makeCaseRecords(storage: CaseStorage, newKey: () => string, now: () => Date): CaseRecords {
  /** The key of a scan, and the case that it is for. */
  const keys = new WeakMap<Uint8Array, { readonly id: string; readonly key: string }>();
  /** By case. */
  const onDevice = new Map<string, ReadonlySet<string>>();
  let lastStamp = 0;

  /** Later than every stamp before, even where the clock stands still or was set back. */
  const stamp = () => {
    lastStamp = Math.max(now().getTime(), lastStamp + 1);
    return lastStamp;
  };

  const keyFor = (id: string, bytes: Uint8Array): string => {
    const known = keys.get(bytes);
    if (known?.id === id) return known.key;
    const key = newKey();
    keys.set(bytes, { id, key });
    return key;
  };

  return {
    recordOf(id, { content: { demo, arches }, steps }) {
      const [first, second] = arches;
      const scan = ({ bytes, ...rest }: CaseScan): StoredScan => ({ ...rest, scanKey: keyFor(id, bytes) });
      const stored = ({ earlier = [], ...newest }: CaseArch, its: KeptSteps | undefined): StoredArch => ({
        ...scan(newest),
        ...(its ? { steps: its } : {}),
        ...(earlier.length > 0 ? { earlier: earlier.map(scan) } : {}),
      });
      return {
        version: 2,
        id,
        demo,
        arches: second ? [stored(first, steps[0]), stored(second, steps[1])] : [stored(first, steps[0])],
        savedAt: stamp(),
      };
    },
    unsavedScans(id, { content }) {
      const scans = scansOf(content).map(({ bytes }) => [keyFor(id, bytes), bytes] as const);
      return new Map(scans.filter(([key]) => !onDevice.get(id)?.has(key)));
    },
    isSaved: (stored) => void onDevice.set(stored.id, new Set(scanKeysOf(stored))),
    async caseOf(stored) {
      lastStamp = Math.max(lastStamp, stored.savedAt);
      const read = async ({ scanKey, ...rest }: StoredScan): Promise<CaseScan | null> => {
        const bytes = await storage.scanOf(scanKey);
        if (!bytes) return null;
        keys.set(bytes, { id: stored.id, key: scanKey });
        return { ...rest, bytes };
      };
      const arches: CaseArch[] = [];
      const kept: (KeptSteps | undefined)[] = [];
      for (const { steps, earlier = [], ...newest } of stored.arches) {
        const scan = await read(newest);
        const before = await Promise.all(earlier.map(read));
        if (scan === null || !before.every((one) => one !== null)) return null;
        arches.push(before.length > 0 ? { ...scan, earlier: before } : scan);
        kept.push(steps);
      }
      const [first, second] = arches;
      if (!first) return null;
      onDevice.set(stored.id, new Set(scanKeysOf(stored)));
      return { content: { demo: stored.demo, arches: second ? [first, second] : [first] }, steps: kept };
    },
  };
}
