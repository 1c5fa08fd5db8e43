import { ArchgapError, cancelledError, inputError, usageError } from '../geometry/archgap-error.ts';
import type { CliFiles, CliIo, FileContent } from './cli-io.ts';
import { halfPlacedFault, writeFault } from './file-faults.ts';

/**
 * The files one command writes, all or none: each is written beside its place under a name that nobody takes for
 * the result, and only when all are whole are they put in place, one rename after the other. A fault or a stop
 * before that leaves what was there before.
 */
export interface OutputSet {
  /** Makes the folder and tries that it can be written to, before long work starts. */
  prepareFolder(path: string): Promise<void>;
  /** Writes a file under its temporary name. */
  stage(path: string, content: FileContent): Promise<void>;
  /** Puts all staged files in place. */
  commit(): void;
  /** Takes back everything that was not committed. */
  discard(): void;
}

/** Temporary names start with a dot and end so that no program opens them as a result. */
function partName(files: CliFiles, path: string, serial: number, stamp: string): string {
  return files.join(files.parent(path), `.${files.baseName(path)}.${stamp}-${serial}.part`);
}

/**
 * @param inputs - paths that are read; a result that would replace one of them is refused
 */
export function makeOutputSet(io: CliIo, inputs: readonly string[]): OutputSet {
  const { files, signal } = io;
  const read = new Set(inputs.map((path) => placeOfInput(files, path)));
  const stamp = io.now().getTime().toString(36);
  const staged: { readonly part: string; readonly path: string }[] = [];
  const madeFolders: { readonly deepest: string; readonly topmost: string }[] = [];
  let serial = 0;

  /** @param told - the path as the user knows it, for the sentence when it fails */
  const writePart = async (path: string, content: FileContent, told: string): Promise<string> => {
    const part = partName(files, path, serial++, stamp);
    try {
      await files.writeNew(part, content);
    } catch (cause) {
      files.removeFile(part);
      // What the pieces are made of may fail, too; that is no fault of the disk.
      throw cause instanceof ArchgapError ? cause : writeFault(told, cause);
    }
    return part;
  };

  return {
    async prepareFolder(path) {
      const folder = files.resolve(path);
      try {
        const topmost = await files.makeFolder(folder);
        if (topmost !== null) madeFolders.push({ deepest: folder, topmost });
      } catch (cause) {
        throw writeFault(path, cause);
      }
      const probe = await writePart(files.join(folder, 'probe'), new Uint8Array(), path);
      files.removeFile(probe);
    },
    async stage(path, content) {
      const target = placeOf(files, path);
      if (read.has(target)) {
        throw usageError('OUTPUT_IS_INPUT', `"${path}" is being read; name another file for the result.`);
      }
      staged.push({ part: await writePart(target, content, path), path: target });
    },
    commit() {
      if (signal.aborted) throw cancelledError();
      const placed: string[] = [];
      while (staged.length > 0) {
        const { part, path } = staged[0]!;
        try {
          files.replace(part, path);
        } catch (cause) {
          throw placed.length === 0 ? writeFault(path, cause) : halfPlacedFault(path, placed, cause);
        }
        placed.push(path);
        staged.shift();
      }
      madeFolders.length = 0;
    },
    discard() {
      for (const { part } of staged.splice(0)) files.removeFile(part);
      for (const { deepest, topmost } of madeFolders.splice(0)) removeChain(files, deepest, topmost);
    },
  };
}

/** Where an input lies; what cannot be looked at says why when it is read. */
function placeOfInput(files: CliFiles, path: string): string {
  try {
    return files.placeOf(path) ?? files.resolve(path);
  } catch {
    return files.resolve(path);
  }
}

/** Where a result goes; a device or a folder is never replaced by a file. */
function placeOf(files: CliFiles, path: string): string {
  let place: string | null;
  try {
    place = files.placeOf(path);
  } catch (cause) {
    throw writeFault(path, cause);
  }
  if (place !== null) return place;
  throw inputError('OUT_NOT_A_FILE', `"${path}" is no plain file; name a file, or - for standard output.`, {
    details: { path },
  });
}

/** Removes the folders this run made, from the deepest up, as long as they are empty. */
function removeChain(files: CliFiles, deepest: string, topmost: string): void {
  let folder = deepest;
  files.removeEmptyFolder(folder);
  while (folder !== topmost && files.parent(folder) !== folder) {
    folder = files.parent(folder);
    files.removeEmptyFolder(folder);
  }
}
