import { closeSync, fstatSync, openSync, readFileSync, readSync } from 'node:fs';
import { inputError } from '../geometry/archgap-error.ts';
import type { Stretches } from '../scan/file-bytes.ts';

/** As where a file is read whole. */
const MOST_BYTES = 2 ** 31 - 1;

/** A file that is read stretch by stretch and has to be closed. */
export interface OpenStretches extends Stretches {
  close(): void;
}

/**
 * Opens a file to be read stretch by stretch, into memory that is used again: several times faster than into fresh
 * memory, all of which the system has to clear and hand out first, and the file is never held whole. Reads wait for
 * the disk: where the file is in the system's memory a stretch takes less time than a way through the event loop.
 *
 * What is no plain file (a pipe, say) has no length before it ends, and is read whole.
 *
 * @throws what the operating system says, and of more than 2 GB what Node says of such a file that is read whole
 */
export function openStretches(path: string): OpenStretches {
  const descriptor = openSync(path, 'r');
  try {
    const found = fstatSync(descriptor);
    if (found.size > MOST_BYTES) throw tooLarge(path, found.size);
    if (found.isFile()) return new FileStretches(path, descriptor, found.size);
    const whole = readFileSync(descriptor);
    return {
      length: whole.length,
      read: (from, to) => whole.subarray(from, to),
      close: () => closeSync(descriptor),
    };
  } catch (fault) {
    closeSync(descriptor);
    throw fault;
  }
}

class FileStretches implements OpenStretches {
  readonly length: number;
  readonly #path: string;
  readonly #descriptor: number;
  #memory = new Uint8Array(0);

  constructor(path: string, descriptor: number, length: number) {
    this.#path = path;
    this.#descriptor = descriptor;
    this.length = length;
  }

  read(from: number, to: number): Uint8Array {
    const size = to - from;
    if (size > this.#memory.length) this.#memory = new Uint8Array(size);
    for (let got = 0; got < size; ) {
      const more = readSync(this.#descriptor, this.#memory, got, size - got, from + got);
      if (more === 0) throw becameShorter(this.#path, this.length, from + got);
      got += more;
    }
    return this.#memory.subarray(0, size);
  }

  close(): void {
    closeSync(this.#descriptor);
  }
}

function tooLarge(path: string, size: number): Error {
  return Object.assign(new Error(`"${path}" has ${size} bytes.`), { code: 'ERR_FS_FILE_TOO_LARGE' });
}

function becameShorter(path: string, length: number, left: number): Error {
  return inputError(
    'FILE_CHANGED',
    `"${path}" had ${length} bytes when it was opened and ends after ${left} now; wait until it is written whole and try again.`,
    { details: { path, length, left } },
  );
}
