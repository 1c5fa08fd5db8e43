import { closeSync, fstatSync, openSync, readSync, type Stats } from 'node:fs';
import type { Stretches } from '../scan/file-bytes.ts';
import { fileChanged, fileShort, isDevice } from './file-faults.ts';

/** As where a file is read whole. */
export const MOST_BYTES = 2 ** 31 - 1;

/** A file that is read stretch by stretch and has to be closed. */
export interface OpenStretches extends Stretches {
  close(): void;
}

/** Room for the first bytes of what has no length before it ends; doubled while it goes on. */
const FIRST_ROOM = 1 << 16;

/**
 * Opens a file to be read stretch by stretch, into memory that is used again: several times faster than into fresh
 * memory, all of which the system has to clear and hand out first, and of a file whose stretches are small little is
 * held at once. Reads wait for the disk: where the file is in the system's memory a stretch takes less time than a way
 * through the event loop.
 *
 * What has no length before it ends (what the system makes up as it is read) is read whole; for pipes, which have to
 * be waited for, there is `readPipe`.
 *
 * @param mostBytes - more are refused before they are held
 * @throws ArchgapError `FILE_IS_DEVICE`; what the operating system says, and of more than 2 GB what Node says of such
 *   a file that is read whole
 */
export function openStretches(path: string, mostBytes = MOST_BYTES): OpenStretches {
  const descriptor = openSync(path, 'r');
  try {
    const found = fstatSync(descriptor);
    if (found.size > mostBytes) throw tooLarge(path, `has ${found.size} bytes`);
    if (found.isFile() && found.size > 0) return new FileStretches(path, descriptor, found);
    if (found.isCharacterDevice() || found.isBlockDevice()) {
      // An empty one is an empty file; of all others one byte is enough to know.
      if (readSync(descriptor, new Uint8Array(1), 0, 1, null) > 0) throw isDevice(path);
      return { ...stretchesOf(new Uint8Array(0)), close: () => closeSync(descriptor) };
    }
    return { ...stretchesOf(readToEnd(path, descriptor, mostBytes)), close: () => closeSync(descriptor) };
  } catch (fault) {
    closeSync(descriptor);
    throw fault;
  }
}

/** What was read whole already, as stretches. */
export function stretchesOf(whole: Uint8Array): OpenStretches {
  return { length: whole.length, read: (from, to) => whole.subarray(from, to), close: () => {} };
}

/** Until it ends, or is more than any scan. */
function readToEnd(path: string, descriptor: number, mostBytes: number): Uint8Array {
  let memory = new Uint8Array(Math.min(FIRST_ROOM, mostBytes + 1));
  for (let got = 0; ; ) {
    if (got === memory.length) {
      if (got > mostBytes) throw tooLarge(path, `goes on after ${mostBytes} bytes`);
      const larger = new Uint8Array(Math.min(2 * got, mostBytes + 1));
      larger.set(memory);
      memory = larger;
    }
    const more = readSync(descriptor, memory, got, memory.length - got, null);
    if (more === 0) return memory.subarray(0, got);
    got += more;
  }
}

class FileStretches implements OpenStretches {
  readonly length: number;
  readonly #path: string;
  readonly #descriptor: number;
  readonly #writtenMs: number;
  #memory = new Uint8Array(0);

  constructor(path: string, descriptor: number, { size, mtimeMs }: Stats) {
    this.#path = path;
    this.#descriptor = descriptor;
    this.#writtenMs = mtimeMs;
    this.length = size;
  }

  read(from: number, to: number): Uint8Array {
    const size = to - from;
    if (size > this.#memory.length) this.#memory = new Uint8Array(size);
    for (let got = 0; got < size; ) {
      const more = readSync(this.#descriptor, this.#memory, got, size - got, from + got);
      if (more === 0) {
        this.#refuseChanged();
        // Nobody wrote to it: the system says a length that it makes up.
        throw fileShort(this.#path, this.length, from + got);
      }
      got += more;
    }
    // Stretches read before and after it was written to would be a scan that nobody made.
    this.#refuseChanged();
    return this.#memory.subarray(0, size);
  }

  #refuseChanged(): void {
    const { mtimeMs, size } = fstatSync(this.#descriptor);
    if (mtimeMs !== this.#writtenMs || size !== this.length) throw fileChanged(this.#path, this.length, size);
  }

  close(): void {
    closeSync(this.#descriptor);
  }
}

/** @param found - what was found of its length */
export function tooLarge(path: string, found: string): Error {
  return Object.assign(new Error(`"${path}" ${found}.`), { code: 'ERR_FS_FILE_TOO_LARGE' });
}
