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
import { bytesOnDevice, type KeptScan, type KeptScanArch, type ScanBytes } from './scan-bytes.ts';

/** Turns the open case into what lies on the device, and back. A scan is written once and found again by its key. */
export interface CaseRecords {
  recordOf(id: string, kept: KeptCase): StoredCase;
  /** The scans of the case that do not lie on the device, by key. */
  unsavedScans(id: string, kept: KeptCase): ReadonlyMap<string, ScanBytes>;
  /** What lies on the device: what is saved from now on counts as later, whatever the clock says. */
  areThere(cases: readonly StoredCase[]): void;
  /**
   * Takes back into memory what would be gone from the device once it has this record: the page may still lead to it,
   * by undo.
   */
  holdDropped(stored: StoredCase): Promise<void>;
  /** Keeps every scan of the case in memory, as it is no longer this page's to save. */
  holdAll(kept: KeptCase): Promise<void>;
  /**
   * This is how the case lies on the device now; scans that it does not name are gone from there.
   * @param written - the scans that were written with it: they leave the memory
   */
  isSaved(stored: StoredCase, written: ReadonlyMap<string, ScanBytes>): void;
  /** The case of a record; null when a scan of it is gone. */
  caseOf(stored: StoredCase): Promise<KeptCase | null>;
  /** What of all other cases lies on the device is known no longer: they are closed, and nothing of them waits. */
  forgetOthers(ids: ReadonlySet<string>): void;
}

const scansOf = ({ content, beside }: KeptCase): KeptScan[] =>
  [...content.arches, ...(beside?.aside ?? []).map(({ arch }) => arch)].flatMap((arch) => [
    arch,
    ...(arch.earlier ?? []),
  ]);

export function makeCaseRecords(storage: CaseStorage, newKey: () => string, now: () => Date): CaseRecords {
  /** The key of a scan, and the case that it is for. */
  const keys = new WeakMap<ScanBytes, { readonly id: string; readonly key: string }>();
  /**
   * Per case that was saved or read, its scans on the device by their keys; null for one that cannot be read. Of a case
   * that is not here the scans would be written once more, no worse.
   */
  const onDevice = new Map<string, ReadonlyMap<string, ScanBytes | null>>();
  let lastStamp = 0;

  /** Later than every stamp before, even where the clock stands still or was set back. */
  const stamp = () => {
    lastStamp = Math.max(now().getTime(), lastStamp + 1);
    return lastStamp;
  };

  const keyFor = (id: string, bytes: ScanBytes): string => {
    const known = keys.get(bytes);
    if (known?.id === id) return known.key;
    const key = newKey();
    keys.set(bytes, { id, key });
    return key;
  };

  return {
    recordOf(id, { content: { demo, arches }, steps, beside }) {
      const [first, second] = arches;
      const scan = ({ bytes, ...rest }: KeptScan): StoredScan => ({ ...rest, scanKey: keyFor(id, bytes) });
      const stored = ({ earlier = [], ...newest }: KeptScanArch, its: KeptSteps | undefined): StoredArch => ({
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
      return new Map(scans.filter(([key]) => !onDevice.get(id)?.has(key)));
    },
    areThere(cases) {
      for (const { savedAt } of cases) lastStamp = Math.max(lastStamp, savedAt);
    },
    async holdDropped(stored) {
      const kept = new Set(scanKeysOf(stored));
      // What cannot be read any more is lost with this record or without it.
      for (const [key, scan] of onDevice.get(stored.id) ?? []) {
        if (!kept.has(key)) await scan?.hold().catch(() => {});
      }
    },
    async holdAll(kept) {
      await Promise.all(scansOf(kept).map(({ bytes }) => bytes.hold()));
    },
    isSaved(stored, written) {
      const before = onDevice.get(stored.id);
      for (const [key, scan] of written) scan.movedToDevice(() => storage.scanOf(key));
      const scans = scanKeysOf(stored).map(
        (key) => [key, written.get(key) ?? before?.get(key) ?? null] as const,
      );
      onDevice.set(stored.id, new Map(scans));
    },
    async caseOf(stored) {
      lastStamp = Math.max(lastStamp, stored.savedAt);
      /** One scan is one object, in however many places it stands. */
      const found = new Map<string, Promise<ScanBytes | null>>();
      /** Only of those that are looked at now what was read by the way stays in memory. */
      const lookedAt = new Set(stored.arches.map(({ scanKey }) => scanKey));
      const read = async (key: string) => {
        const bytes = await storage.scanOf(key);
        return bytes && bytesOnDevice(() => storage.scanOf(key), lookedAt.has(key) ? bytes : null);
      };
      const bytesOf = (key: string) => {
        const asked = found.get(key) ?? read(key);
        found.set(key, asked);
        return asked;
      };
      const scanOf = async ({ scanKey, ...rest }: StoredScan): Promise<KeptScan | null> => {
        const bytes = await bytesOf(scanKey);
        if (!bytes) return null;
        keys.set(bytes, { id: stored.id, key: scanKey });
        return { ...rest, bytes };
      };
      const archOf = async ({ steps, earlier = [], ...newest }: StoredArch): Promise<KeptArch | null> => {
        const scan = await scanOf(newest);
        const before = await Promise.all(earlier.map(scanOf));
        if (scan === null || !before.every((one) => one !== null)) return null;
        return { arch: before.length > 0 ? { ...scan, earlier: before } : scan, steps };
      };
      const [first, second] = await Promise.all(stored.arches.map(archOf));
      if (!first || second === null) return null;
      const aside = await Promise.all((stored.beside?.aside ?? []).map(archOf));
      const scans = new Map<string, ScanBytes | null>();
      for (const [key, asked] of found) scans.set(key, await asked);
      onDevice.set(stored.id, scans);
      return {
        content: { demo: stored.demo, arches: second ? [first.arch, second.arch] : [first.arch] },
        steps: second ? [first.steps, second.steps] : [first.steps],
        // A scan that is gone costs the undo, not the case.
        ...(stored.beside && aside.every((one) => one !== null)
          ? { beside: { ...stored.beside, aside } }
          : {}),
      };
    },
    forgetOthers(ids) {
      for (const id of onDevice.keys()) if (!ids.has(id)) onDevice.delete(id);
    },
  };
}
