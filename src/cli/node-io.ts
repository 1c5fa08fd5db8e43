import {
  existsSync,
  mkdirSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmdirSync,
  rmSync,
  statSync,
} from 'node:fs';
import { open, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import process from 'node:process';
import { setImmediate as pause } from 'node:timers/promises';
import type { CliFiles, CliIo } from './cli-io.ts';
import { faultCode } from './file-faults.ts';
import { fingerprinted } from './fingerprinted.ts';
import { makeNodeWorker } from './node-worker.ts';
import { openStretches, stretchesOf } from './open-stretches.ts';
import { isPipe, readPipe } from './read-pipe.ts';

/**
 * Makes a folder and its parents.
 * @returns the topmost that was made, or null when all were there
 * @throws what the operating system says of the topmost that cannot be made
 */
function makeFolders(path: string): string | null {
  const missing: string[] = [];
  let folder = resolve(path);
  while (!existsSync(folder)) {
    missing.unshift(folder);
    if (dirname(folder) === folder) break;
    folder = dirname(folder);
  }
  // One by one: asked for the parents, too, Node says "not there" also where a disk cannot be written to, and never comes
  // back where a folder takes no other (/proc).
  for (const one of missing) makeFolder(one);
  if (missing.length === 0 && !statSync(folder).isDirectory()) mkdirSync(folder);
  return missing[0] ?? null;
}

/** Another program may make the same folder at the same moment. */
function makeFolder(path: string): void {
  try {
    mkdirSync(path);
  } catch (fault) {
    if (faultCode(fault) !== 'EEXIST' || !existsSync(path) || !statSync(path).isDirectory()) throw fault;
  }
}

/** Of a link, what it leads to counts; one that leads back to itself, or where nobody may look, leads to none. */
function leadsToFile(link: string): boolean {
  try {
    return statSync(link).isFile();
  } catch {
    return false;
  }
}

/** The file system as Node gives it. */
const NODE_FILES: Omit<CliFiles, 'read' | 'open'> = {
  resolve: (path) => resolve(path),
  baseName: (path) => basename(path),
  join: (folder, name) => join(folder, name),
  under: (folder, path) => resolve(folder, path),
  from: (folder, path) => {
    const way = relative(folder, path);
    return way === '' || isAbsolute(way) ? null : way.split(sep).join('/');
  },
  foldersIn: (folder) =>
    existsSync(folder)
      ? readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
          entry.isDirectory() ? [entry.name] : [],
        )
      : [],
  filesIn: (folder) => {
    if (!statSync(folder, { throwIfNoEntry: false })?.isDirectory()) return null;
    return readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
      entry.isFile() || (entry.isSymbolicLink() && leadsToFile(join(folder, entry.name))) ? [entry.name] : [],
    );
  },
  isAbsolute: (path) => isAbsolute(path),
  parent: (path) => dirname(path),
  placeOf: (path) => {
    const found = statSync(path, { throwIfNoEntry: false });
    if (found === undefined) return resolve(path);
    return found.isFile() ? realpathSync(path) : null;
  },
  makeFolder: async (path) => makeFolders(path),
  writeNew: async (path, content) => {
    const handle = await open(path, 'wx');
    try {
      await writeFile(handle, content);
      await handle.sync();
    } finally {
      await handle.close();
    }
  },
  replace: (from, to) => renameSync(from, to),
  removeFile: (path) => rmSync(path, { force: true }),
  removeEmptyFolder: (path) => {
    try {
      rmdirSync(path);
    } catch {
      // Not empty, or not ours to remove: it stays.
    }
  },
};

/** Files that are read, and pipes, for which nobody waits any more once the signal has come. */
function readingOf(signal: AbortSignal): Pick<CliFiles, 'read' | 'open'> {
  return {
    read: async (path) => {
      if (isPipe(path)) return readPipe(path, signal);
      // As stretch by stretch: what is written to meanwhile is refused.
      const file = openStretches(path);
      try {
        return file.read(0, file.length);
      } finally {
        file.close();
      }
    },
    open: async (path) =>
      fingerprinted(isPipe(path) ? stretchesOf(await readPipe(path, signal)) : openStretches(path)),
  };
}

/**
 * The world as Node gives it.
 * @param program - address of the built program, which threads run again
 */
export function makeNodeIo(version: string, signal: AbortSignal, program: URL): CliIo {
  return {
    version,
    files: { ...NODE_FILES, ...readingOf(signal) },
    out: {
      write: (chunk) =>
        new Promise((done, fail) => {
          process.stdout.write(chunk, (fault) => {
            // Whoever reads our output may go away early; that is no fault.
            if (fault && faultCode(fault) !== 'EPIPE') fail(fault);
            else done();
          });
        }),
    },
    err: {
      write: (text) => {
        process.stderr.write(text);
      },
      isTerminal: process.stderr.isTTY === true,
    },
    now: () => new Date(),
    signal,
    pause: async () => {
      await pause();
    },
    cores: availableParallelism(),
    startWorker: (coresAreFull) => makeNodeWorker(program, signal, coresAreFull),
  };
}
