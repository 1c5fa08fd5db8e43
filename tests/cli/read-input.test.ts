import { describe, expect, it } from 'vitest';
import type { CliIo, CliOpenFile } from '../../src/cli/cli-io.ts';
import { withOpenFile } from '../../src/cli/read-input.ts';
import { inputError } from '../../src/geometry/archgap-error.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

/** A world that counts which files are open; `read` stands for the disk. */
function worldOf(read: CliOpenFile['read'] = () => new Uint8Array(1)) {
  const { io } = makeMemoryWorld({});
  const seen = { opened: 0, closed: 0 };
  const open = (): CliOpenFile => {
    seen.opened += 1;
    return {
      length: 1,
      read,
      sha256: () => '',
      close: () => {
        seen.closed += 1;
      },
    };
  };
  return { io: { ...io, files: { ...io.files, open } } as CliIo, seen };
}

describe('withOpenFile', () => {
  it('closes the file once what is done with it has ended, and not before', async () => {
    const { io, seen } = worldOf();
    const given = await withOpenFile(io, 'scan.stl', async (file) => {
      await Promise.resolve();
      expect(seen).toEqual({ opened: 1, closed: 0 });
      return file.length;
    });
    expect(given).toBe(1);
    expect(seen).toEqual({ opened: 1, closed: 1 });
  });

  it('names the file where the disk fails in the middle of it, and closes it', async () => {
    const { io, seen } = worldOf(() => {
      throw Object.assign(new Error('i/o error'), { code: 'EIO' });
    });
    await expect(withOpenFile(io, 'scan.stl', async (file) => file.read(0, 1))).rejects.toMatchObject({
      code: 'FILE_NOT_READABLE',
      kind: 'input',
      details: { path: 'scan.stl', fault: 'EIO' },
    });
    expect(seen).toEqual({ opened: 1, closed: 1 });
  });

  it.each([
    ['a refusal', inputError('NO_TRIANGLES', 'It holds none.')],
    ['a mistake of the program', new TypeError('undefined is not iterable')],
  ])('passes on as it is: %s', async (_, fault) => {
    const { io, seen } = worldOf();
    await expect(withOpenFile(io, 'scan.stl', () => Promise.reject(fault))).rejects.toBe(fault);
    expect(seen.closed).toBe(1);
  });

  it('says that there is no such file, with nothing to close', async () => {
    const { io } = makeMemoryWorld({});
    await expect(withOpenFile(io, 'absent.stl', async () => 0)).rejects.toMatchObject({
      code: 'FILE_NOT_FOUND',
    });
  });
});
