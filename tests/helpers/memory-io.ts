import { createHash } from 'node:crypto';
import { posix } from 'node:path';
import { batchRow } from '../../src/cli/batch-row.ts';
import type { CliFiles, CliIo, FileContent } from '../../src/cli/cli-io.ts';

/** A file system and streams in memory for tests of the command line. Paths are POSIX, the current folder is /here. */
export interface MemoryWorld {
  readonly io: CliIo;
  /** Path to content of every file. */
  readonly files: Map<string, Uint8Array>;
  readonly folders: Set<string>;
  readonly stop: AbortController;
  /** What the next writes of new files do instead: an operating system's fault code. */
  failWrites: string | null;
  /** Called at every pause; tests stop the program from here. */
  onPause: () => void;
  stdout(): string;
  stderr(): string;
}

function fault(code: string): Error {
  return Object.assign(new Error(code), { code });
}

export function makeMemoryWorld(
  content: Readonly<Record<string, string | Uint8Array>> = {},
  options: { readonly terminal?: boolean } = {},
): MemoryWorld {
  const resolve = (path: string) => posix.resolve('/here', path);
  const files = new Map<string, Uint8Array>();
  const folders = new Set<string>(['/', '/here']);
  for (const [path, data] of Object.entries(content)) {
    files.set(resolve(path), typeof data === 'string' ? new TextEncoder().encode(data) : data);
    let folder = posix.dirname(resolve(path));
    while (!folders.has(folder)) {
      folders.add(folder);
      folder = posix.dirname(folder);
    }
  }
  const [out, err]: [string[], string[]] = [[], []];
  const stop = new AbortController();
  let ticks = 0;
  const world: MemoryWorld = {
    files,
    folders,
    stop,
    failWrites: null,
    onPause: () => {},
    stdout: () => out.join(''),
    stderr: () => err.join(''),
    io: {
      version: '0.1.0',
      files: memoryFiles(files, folders, resolve, () => world.failWrites),
      out: {
        write: async (chunk) => {
          out.push(typeof chunk === 'string' ? chunk : new TextDecoder().decode(chunk));
        },
      },
      err: { write: (text) => void err.push(text), isTerminal: options.terminal ?? false },
      now: () => new Date(Date.UTC(2026, 10, 25, 13, 40, 0, 150 * ticks++)),
      signal: stop.signal,
      pause: async () => world.onPause(),
      cores: 2,
      startWorker: () => ({ run: (task) => batchRow(task, world.io), stop: async () => {} }),
    },
  };
  return world;
}

function memoryFiles(
  files: Map<string, Uint8Array>,
  folders: Set<string>,
  resolve: (path: string) => string,
  failWrites: () => string | null,
): CliFiles {
  return {
    resolve,
    baseName: (path) => posix.basename(path),
    join: (folder, name) => posix.join(folder, name),
    under: (folder, path) => posix.resolve(folder, path),
    from: (folder, path) => posix.relative(folder, path) || null,
    foldersIn: (folder) =>
      [...folders].filter((one) => posix.dirname(one) === resolve(folder)).map((one) => posix.basename(one)),
    filesIn: (folder) =>
      folders.has(resolve(folder))
        ? [...files.keys()]
            .filter((one) => posix.dirname(one) === resolve(folder))
            .map((one) => posix.basename(one))
        : null,
    isAbsolute: (path) => posix.isAbsolute(path),
    parent: (path) => posix.dirname(path),
    read: async (path) => {
      const found = files.get(resolve(path));
      if (found) return found;
      throw fault(folders.has(resolve(path)) ? 'EISDIR' : 'ENOENT');
    },
    open: (path) => {
      const found = files.get(resolve(path));
      if (!found) throw fault(folders.has(resolve(path)) ? 'EISDIR' : 'ENOENT');
      let last = new Uint8Array(0);
      return {
        length: found.length,
        // What was given is gone with the next call, as with a file.
        read: (from, to) => {
          last.fill(0xee);
          last = found.slice(from, to);
          return last;
        },
        sha256: () => createHash('sha256').update(found).digest('hex'),
        close: () => {},
      };
    },
    placeOf: (path) => (folders.has(resolve(path)) ? null : resolve(path)),
    makeFolder: async (path) => {
      let topmost: string | null = null;
      const missing: string[] = [];
      for (let folder = resolve(path); !folders.has(folder); folder = posix.dirname(folder)) {
        if (files.has(folder)) throw fault(missing.length === 0 ? 'EEXIST' : 'ENOTDIR');
        missing.push(folder);
        topmost = folder;
      }
      for (const folder of missing) folders.add(folder);
      return topmost;
    },
    writeNew: async (path, content) => {
      const code = failWrites();
      if (code !== null) throw fault(code);
      const target = resolve(path);
      if (!folders.has(posix.dirname(target))) throw fault('ENOENT');
      if (files.has(target)) throw fault('EEXIST');
      files.set(target, await whole(content));
    },
    replace: (from, to) => {
      const bytes = files.get(resolve(from));
      if (!bytes) throw fault('ENOENT');
      if (folders.has(resolve(to))) throw fault('EISDIR');
      files.delete(resolve(from));
      files.set(resolve(to), bytes);
    },
    removeFile: (path) => void files.delete(resolve(path)),
    removeEmptyFolder: (path) => {
      const folder = resolve(path);
      const inside = [...files.keys(), ...folders].some((other) => posix.dirname(other) === folder);
      if (!inside) folders.delete(folder);
    },
  };
}

async function whole(content: FileContent): Promise<Uint8Array> {
  if (content instanceof Uint8Array) return content.slice();
  const pieces: Uint8Array[] = [];
  for await (const piece of content) pieces.push(piece);
  return new Uint8Array(Buffer.concat(pieces));
}
