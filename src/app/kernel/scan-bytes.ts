import { readBlob } from '../../../workers/read-blob-api.ts';
import type { CaseArch, CaseContent, CaseScan } from '../../casefile/types.ts';
import { ArchgapError, inputError } from '../../geometry/archgap-error.ts';
import { giveBack } from '../../geometry/give-back.ts';
import { copyInPieces } from './copy-in-pieces.ts';

/**
 * The file of a scan, wherever it lies: in memory until the device has it, as much of it as a heavy scan is would else
 * be the largest thing the page keeps. One object stands for one file and is compared as such.
 */
export interface ScanBytes {
  /**
   * All of it, in an array of the caller's own.
   * @throws ArchgapError input `SCAN_GONE` when the device no longer has it, `FILE_UNREADABLE` when it is still the
   *   user's file, and that was changed or taken away
   */
  read(): Promise<Uint8Array<ArrayBuffer>>;
  /**
   * The same for a worker to read: the user's file itself while nobody has read it, else all of it, to be transferred.
   * @throws as `read`
   */
  handOver(): Promise<Uint8Array<ArrayBuffer> | Blob>;
  /** What a worker read of the user's file, whole: it need not be read a second time. Taken over. */
  broughtBack(bytes: Uint8Array): void;
  /**
   * Keeps it in memory until it is moved to the device, and gives it: not to be changed, nor kept.
   * @throws as `read`
   */
  hold(): Promise<Uint8Array>;
  /** The device has it from now on: it leaves the memory, and is read from there when it is asked for. */
  movedToDevice(fromDevice: FromDevice): void;
}

/** Reads a scan's file back; null where the device no longer has it, or not whole. */
export type FromDevice = () => Promise<Uint8Array | null>;

/** Scans, arches and cases as the page keeps them. */
export type KeptScan = CaseScan<ScanBytes>;
export type KeptScanArch = CaseArch<ScanBytes>;
export type KeptContent = CaseContent<ScanBytes>;

/** A file that came onto the page. @param bytes - taken over: of no use to the caller afterwards */
export const bytesInMemory = (bytes: Uint8Array): ScanBytes =>
  makeScanBytes({ held: bytes, from: async () => bytes });

/** A file of the user that nobody has read yet. */
export const bytesInFile = (file: Blob): ScanBytes =>
  makeScanBytes({ unread: file, from: () => readBlob(file) });

/**
 * A file that lies on the device.
 * @param justRead - all of it where it was read by the way, for whoever asks first; taken over
 */
export const bytesOnDevice = (fromDevice: FromDevice, justRead: Uint8Array | null): ScanBytes =>
  makeScanBytes({ fresh: justRead, from: fromDevice });

interface Whereabouts {
  readonly held?: Uint8Array;
  readonly fresh?: Uint8Array | null;
  readonly unread?: Blob;
  readonly from: FromDevice;
}

function makeScanBytes(at: Whereabouts): ScanBytes {
  let { held = null, fresh = null, unread = null, from } = at;
  let copying = 0;

  async function taken(): Promise<Uint8Array> {
    const justRead = fresh;
    fresh = null;
    if (justRead) return justRead;
    const read = await from().catch((cause: unknown) => gone(cause));
    return read ?? gone(null);
  }

  async function read(): Promise<Uint8Array<ArrayBuffer>> {
    if (held === null) return (await taken()) as Uint8Array<ArrayBuffer>;
    copying += 1;
    try {
      return await copyInPieces(held);
    } finally {
      copying -= 1;
    }
  }

  return {
    read,
    async handOver() {
      return held === null && unread !== null ? unread : read();
    },
    broughtBack(bytes) {
      if (held === null && unread !== null) held = bytes;
      else giveBack(bytes);
    },
    async hold() {
      held ??= await taken();
      return held;
    },
    movedToDevice(next) {
      from = next;
      unread = null;
      // Whoever copies it still needs it: then the engine clears it up.
      if (copying === 0 && held !== null) giveBack(held);
      held = null;
    },
  };
}

function gone(cause: unknown): never {
  if (cause instanceof ArchgapError) throw cause;
  throw inputError(
    'SCAN_GONE',
    'The file of this scan is no longer on this device, as the browser has cleared what it kept; open the file again.',
    { details: { reason: cause instanceof Error ? cause.message : 'not there' } },
  );
}

/** A case that came onto the page. @param content - its bytes are taken over */
export function contentKept({ demo, arches }: CaseContent): KeptContent {
  /** One file is one object, in however many places it stands. */
  const known = new Map<Uint8Array, ScanBytes>();
  const scan = <Scan extends CaseScan>({ bytes, ...rest }: Scan) => {
    const kept = known.get(bytes) ?? bytesInMemory(bytes);
    known.set(bytes, kept);
    return { ...rest, bytes: kept };
  };
  const arch = ({ earlier, ...newest }: CaseArch): KeptScanArch => ({
    ...scan(newest),
    ...(earlier ? { earlier: earlier.map(scan) } : {}),
  });
  const [first, second] = arches;
  return { demo, arches: second ? [arch(first), arch(second)] : [arch(first)] };
}

/**
 * The case with all its bytes, in arrays of the caller's own.
 * @throws as `ScanBytes.read`
 */
export async function contentRead({ demo, arches }: KeptContent): Promise<CaseContent> {
  const scan = async ({ bytes, ...rest }: KeptScan): Promise<CaseScan> => ({
    ...rest,
    bytes: await bytes.read(),
  });
  const arch = async ({ earlier, ...newest }: KeptScanArch): Promise<CaseArch> => ({
    ...(await scan(newest)),
    ...(earlier ? { earlier: await Promise.all(earlier.map(scan)) } : {}),
  });
  const [first, second] = arches;
  return { demo, arches: second ? [await arch(first), await arch(second)] : [await arch(first)] };
}

/** Scans that are to be written, in memory. */
export async function allHeld(
  scans: ReadonlyMap<string, ScanBytes>,
): Promise<ReadonlyMap<string, Uint8Array>> {
  const held = new Map<string, Uint8Array>();
  for (const [key, scan] of scans) held.set(key, await scan.hold());
  return held;
}
