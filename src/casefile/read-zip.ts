import { type UnzipFileInfo, unzipSync } from 'fflate';
import { ArchgapError, inputError } from '../geometry/archgap-error.ts';

/** Entries of a zip beyond this are no case file of ours. */
const MOST_ENTRIES = 64;
/** All entries together, unpacked. Two scans of 300 MB are far beyond any intraoral scanner. */
const MOST_UNPACKED = 1_500_000_000;
/** Scans pack to a third, repetitive text to a tenth; what unpacks to more than this many times its size is a bomb. */
const MOST_EXPANSION = 60;
/** Small files may expand more: they hurt nobody. */
const SMALL_UNPACKED = 1_000_000;

/** Whether the bytes begin as a zip does. */
export function looksLikeZip(bytes: Uint8Array): boolean {
  return bytes.length > 3 && bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] === 3 && bytes[3] === 4;
}

/**
 * Unpacks the entries whose names are wanted. All entries are checked before any is unpacked: their number, their
 * names (a name that climbs out of its folder is refused although nothing is written to a disk here), and how large
 * they would become.
 *
 * @returns by name; a name that the zip does not hold is absent
 * @throws ArchgapError `CASE_FILE_DAMAGED`, `CASE_FILE_PATH`, `CASE_FILE_TOO_LARGE`
 */
export function readZip(bytes: Uint8Array, wanted: ReadonlySet<string>): Map<string, Uint8Array> {
  try {
    const found = new Map<string, UnzipFileInfo>();
    unzipSync(bytes, {
      filter: (entry) => {
        checkName(entry.name);
        if (found.has(entry.name)) throw damaged(`holds "${shown(entry.name)}" twice`);
        found.set(entry.name, entry);
        if (found.size > MOST_ENTRIES) throw tooLarge(`holds more than ${MOST_ENTRIES} entries`);
        return false;
      },
    });
    const entries = [...found.values()].filter(({ name }) => wanted.has(name));
    checkSizes(entries, bytes.length);
    const files = unzipSync(bytes, { filter: ({ name }) => wanted.has(name) });
    return new Map(Object.entries(files));
  } catch (cause) {
    if (cause instanceof ArchgapError) throw cause;
    throw damaged('cannot be unpacked', cause);
  }
}

function checkName(name: string): void {
  const climbs = name.split('/').some((part) => part === '..' || part === '.');
  const isPlain = !climbs && !/^\/|^[a-z]:|\\|\p{Cc}/iu.test(name) && name.length <= 255;
  if (isPlain) return;
  throw inputError(
    'CASE_FILE_PATH',
    `The zip holds an entry named "${shown(name)}", which points outside of its folder; it was not written by this program and is not opened.`,
  );
}

function checkSizes(entries: readonly UnzipFileInfo[], zipLength: number): void {
  const unpacked = entries.reduce((sum, { originalSize }) => sum + originalSize, 0);
  const packed = entries.reduce((sum, { size }) => sum + size, 0);
  if (packed > zipLength) throw damaged('is cut short');
  if (unpacked > MOST_UNPACKED) throw tooLarge(`would unpack to ${Math.round(unpacked / 1e6)} MB`);
  if (unpacked > SMALL_UNPACKED && unpacked > MOST_EXPANSION * packed) {
    throw tooLarge(`would unpack to ${Math.round(unpacked / Math.max(packed, 1))} times its size`);
  }
}

function damaged(what: string, cause?: unknown): ArchgapError {
  return inputError(
    'CASE_FILE_DAMAGED',
    `The case file ${what}: it is damaged or not whole. Take another copy of it.`,
    cause === undefined ? {} : { cause },
  );
}

function tooLarge(what: string): ArchgapError {
  return inputError(
    'CASE_FILE_TOO_LARGE',
    `The case file ${what}, more than any case; it was not written by this program and is not opened.`,
  );
}

/** A name for a sentence: without control characters, cut where it gets long. */
function shown(name: string): string {
  return name.replace(/\p{Cc}/gu, '').slice(0, 60);
}
