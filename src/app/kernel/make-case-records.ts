import type { CaseArch, CaseScan } from '../../casefile/types.ts';
import {
  type CaseStorage,
  type StoredArch,
  type StoredCase,
  type StoredScan,
  scanKeysOf,
} from './case-storage.ts';
import type { KeptCase } from './create-files.ts';
import type { KeptArch } from './kept-beside.ts';
import type { KeptSteps } from './kept-steps.ts';

/** Turns the open case into what lies on the device, and back. A scan is written once and found again by its key. */
export interface CaseRecords {
  recordOf(id: string, kept: KeptCase): StoredCase;
  /** The scans of the case that do not lie on the device, by key. */
  unsavedScans(id: string, kept: KeptCase): ReadonlyMap<string, Uint8Array>;
  /** What lies on the device: what is saved from now on counts as later, whatever the clock says. */
  areThere(cases: readonly StoredCase[]): void;
  /** This is how the case lies on the device now; scans that it does not name are gone from there. */
  isSaved(stored: StoredCase): void;
  /** The case of a record; null when a scan of it is gone. */
  caseOf(stored: StoredCase): Promise<KeptCase | null>;
}

const scansOf = ({ content, beside }: KeptCase): CaseScan[] =>
  [...content.arches, ...(beside?.aside ?? []).map(({ arch }) => arch)].flatMap((arch) => [
    arch,
    ...(arch.earlier ?? []),
  ]);

export function makeCaseRecords(storage: CaseStorage, newKey: () => string, now: () => Date): CaseRecords {
  /** The key of a scan, and the case that it is for. */
  const keys = new WeakMap<Uint8Array, { readonly id: string; readonly key: string }>();
  /** Of the case that was saved or read last; of another one the scans would be written once more, no worse. */
  let onDevice: { readonly id: string; readonly keys: ReadonlySet<string> } | null = null;
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
    recordOf(id, { content: { demo, arches }, steps, beside }) {
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
        ...(beside
          ? { beside: { ...beside, aside: beside.aside.map((one) => stored(one.arch, one.steps)) } }
          : {}),
        savedAt: stamp(),
      };
    },
    unsavedScans(id, kept) {
      const scans = scansOf(kept).map(({ bytes }) => [keyFor(id, bytes), bytes] as const);
      return new Map(scans.filter(([key]) => onDevice?.id !== id || !onDevice.keys.has(key)));
    },
    areThere(cases) {
      for (const { savedAt } of cases) lastStamp = Math.max(lastStamp, savedAt);
    },
    isSaved(stored) {
      onDevice = { id: stored.id, keys: new Set(scanKeysOf(stored)) };
    },
    async caseOf(stored) {
      lastStamp = Math.max(lastStamp, stored.savedAt);
      /** One scan is one array, in however many places it stands. */
      const found = new Map<string, Promise<Uint8Array | null>>();
      const bytesOf = (key: string) => {
        const asked = found.get(key) ?? storage.scanOf(key);
        found.set(key, asked);
        return asked;
      };
      const read = async ({ scanKey, ...rest }: StoredScan): Promise<CaseScan | null> => {
        const bytes = await bytesOf(scanKey);
        if (!bytes) return null;
        keys.set(bytes, { id: stored.id, key: scanKey });
        return { ...rest, bytes };
      };
      const archOf = async ({ steps, earlier = [], ...newest }: StoredArch): Promise<KeptArch | null> => {
        const scan = await read(newest);
        const before = await Promise.all(earlier.map(read));
        if (scan === null || !before.every((one) => one !== null)) return null;
        return { arch: before.length > 0 ? { ...scan, earlier: before } : scan, steps };
      };
      const [first, second] = await Promise.all(stored.arches.map(archOf));
      if (!first || second === null) return null;
      const aside = await Promise.all((stored.beside?.aside ?? []).map(archOf));
      onDevice = { id: stored.id, keys: new Set(scanKeysOf(stored)) };
      return {
        content: { demo: stored.demo, arches: second ? [first.arch, second.arch] : [first.arch] },
        steps: second ? [first.steps, second.steps] : [first.steps],
        // A scan that is gone costs the undo, not the case.
        ...(stored.beside && aside.every((one) => one !== null)
          ? { beside: { ...stored.beside, aside } }
          : {}),
      };
    },
  };
}
