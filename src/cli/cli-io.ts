import type { OpenFile } from '../scan/file-bytes.ts';
import type { RowOutcome, RowTask } from './batch-row-types.ts';

/** What the command line needs of the world; given by Node in earnest and by memory in tests. */

/** Bytes at once, or in pieces. */
export type FileContent = Uint8Array | AsyncIterable<Uint8Array>;

/** A file that has to be closed. */
export interface CliOpenFile extends OpenFile {
  close(): void;
}

export interface CliFiles {
  /** Absolute, normalised form of a path. */
  resolve(path: string): string;
  /** Last part of a path. */
  baseName(path: string): string;
  join(folder: string, name: string): string;
  /** A path as seen from a folder: an absolute path stays what it is. */
  under(folder: string, path: string): string;
  /** A path as seen from a folder, `/` between its parts, `..` for what lies above; null where no such path leads there. */
  from(folder: string, path: string): string | null;
  /** Names of the folders in a folder; none where it is not there. */
  foldersIn(folder: string): readonly string[];
  /** Names of the plain files in a folder; null where no folder is of that name. @throws what the system says of it */
  filesIn(folder: string): readonly string[] | null;
  /** Whether a path begins at the root of the machine. */
  isAbsolute(path: string): boolean;
  parent(path: string): string;
  /** @throws ArchgapError `CANCELLED` where it has to be waited for and the user stops the program */
  read(path: string): Promise<Uint8Array>;
  /** @throws ArchgapError `CANCELLED` likewise */
  open(path: string): CliOpenFile | Promise<CliOpenFile>;
  /**
   * Where a file of this path really goes (links followed), or null when something stands there that is no plain
   * file: a folder, a device.
   */
  placeOf(path: string): string | null;
  /** Makes a folder and its parents. @returns the topmost folder that was made, or null when all were there */
  makeFolder(path: string): Promise<string | null>;
  /** Writes a file that must not exist yet, down to the disk; content that comes in pieces is never held whole. */
  writeNew(path: string, content: FileContent): Promise<void>;
  /** Puts one file in the place of another, at once. Synchronous, so that no signal comes between two of them. */
  replace(from: string, to: string): void;
  /** Removes a file; nothing happens when it is not there. */
  removeFile(path: string): void;
  /** Removes a folder if it is empty; nothing happens otherwise. */
  removeEmptyFolder(path: string): void;
}

/** A thread that measures one row of a batch at a time. */
export interface RowWorker {
  /** @throws what stops the whole batch: `CANCELLED`, a disk that is full; a row's own fault is an outcome */
  run(task: RowTask): Promise<RowOutcome>;
  /** Ends the thread; a row at work is given up without leaving anything behind. */
  stop(): Promise<void>;
}

export interface CliIo {
  readonly version: string;
  readonly files: CliFiles;
  /** Standard output, text or bytes. */
  readonly out: { write(chunk: string | Uint8Array): Promise<void> };
  /** Standard error. Progress is written only when it is a terminal. */
  readonly err: { write(text: string): void; readonly isTerminal: boolean };
  readonly now: () => Date;
  /** Aborted when the user stops the program. */
  readonly signal: AbortSignal;
  /** Lets other work in (signals, in earnest). */
  readonly pause: () => Promise<void>;
  /** How many threads this machine runs at once. */
  readonly cores: number;
  /** @param coresAreFull - one of as many threads as there are cores, or of more */
  readonly startWorker: (coresAreFull: boolean) => RowWorker;
}
