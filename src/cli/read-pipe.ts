import { closeSync, constants, openSync, statSync } from 'node:fs';
import { Socket } from 'node:net';
import { addAbortSignal } from 'node:stream';
import { isatty, ReadStream } from 'node:tty';
import { cancelledError } from '../geometry/archgap-error.ts';
import { MOST_BYTES, tooLarge } from './open-stretches.ts';

/** Not waiting for a writer, and not becoming the terminal of this program. */
const AT_ONCE = constants.O_RDONLY | constants.O_NONBLOCK | constants.O_NOCTTY;

/**
 * Whether reading it may wait for somebody: a pipe, a terminal.
 * @throws what the operating system says; of what is not there, nothing
 */
export function isPipe(path: string): boolean {
  const found = statSync(path, { throwIfNoEntry: false });
  if (!found?.isCharacterDevice()) return found?.isFIFO() ?? false;
  const descriptor = openSync(path, AT_ONCE);
  try {
    return isatty(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/**
 * Reads a pipe or a terminal to its end. By the event loop: a thread that waits in the system for bytes, or for
 * somebody to open the other end, hears no signal, and the program could not even end before that thread does.
 *
 * @param signal - ends the waiting
 * @param mostBytes - more are refused
 * @throws ArchgapError `CANCELLED`; what the operating system says, and of more than 2 GB what Node says of such a file
 */
export async function readPipe(
  path: string,
  signal: AbortSignal,
  mostBytes = MOST_BYTES,
): Promise<Uint8Array<ArrayBuffer>> {
  if (signal.aborted) throw cancelledError();
  const fd = openSync(path, AT_ONCE);
  const stream = isatty(fd) ? new ReadStream(fd) : new Socket({ fd, readable: true, writable: false });
  const pieces: Uint8Array[] = [];
  let length = 0;
  try {
    for await (const piece of addAbortSignal(signal, stream) as AsyncIterable<Uint8Array>) {
      pieces.push(piece);
      length += piece.length;
      if (length > mostBytes) throw tooLarge(path, `goes on after ${mostBytes} bytes`);
    }
  } catch (fault) {
    throw signal.aborted ? cancelledError() : fault;
  } finally {
    stream.destroy();
  }
  const whole = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}
