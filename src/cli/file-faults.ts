import { ArchgapError, inputError } from '../geometry/archgap-error.ts';

/** The operating system's name of a fault (`ENOENT`), or an empty text. */
export function faultCode(cause: unknown): string {
  if (typeof cause !== 'object' || cause === null || !('code' in cause)) return '';
  return typeof cause.code === 'string' ? cause.code : '';
}

/**
 * A file that was written to while it was read.
 *
 * @param length - bytes that it had when it was opened
 * @param now - bytes that it has now
 */
export function fileChanged(path: string, length: number, now: number): ArchgapError {
  const found =
    now === length
      ? 'was written to while it was read'
      : `had ${length} bytes when it was opened and has ${now} now`;
  return inputError('FILE_CHANGED', `"${path}" ${found}; wait until it is written whole and try again.`, {
    details: { path, length, now },
  });
}

/** A file that ends before the length that the system says it has, though nobody wrote to it: some are made up as they are read. */
export function fileShort(path: string, length: number, ended: number): ArchgapError {
  return inputError(
    'FILE_NOT_READABLE',
    `"${path}" is said to have ${length} bytes and ends after ${ended}; copy it into a file of its own and name that.`,
    { details: { path, length, ended } },
  );
}

/**
 * Why a file could not be read, in a sentence. A fault of our own says it already, such as that it was no longer waited
 * for.
 *
 * @param path - what the file is to be called
 */
export function readFault(path: string, cause: unknown): ArchgapError {
  if (cause instanceof ArchgapError) {
    const { length, now } = cause.details;
    const isChanged = cause.code === 'FILE_CHANGED';
    return isChanged && typeof length === 'number' && typeof now === 'number'
      ? fileChanged(path, length, now)
      : cause;
  }
  const code = faultCode(cause);
  const details = { path, fault: code };
  switch (code) {
    case 'ENOENT':
    case 'ENOTDIR':
      return inputError(
        'FILE_NOT_FOUND',
        path === '-'
          ? 'There is no file "-"; name a file, or /dev/stdin for what is piped in.'
          : `There is no file "${path}"; check the name and the folder.`,
        { details },
      );
    case 'ENAMETOOLONG':
      return inputError(
        'FILE_NOT_FOUND',
        `There is no file "${path}"; the name is longer than names can be.`,
        { details },
      );
    case 'ELOOP':
      return inputError(
        'FILE_NOT_READABLE',
        `"${path}" is a link that leads back to itself; name the file it should lead to.`,
        { details },
      );
    case 'EISDIR':
      return inputError('FILE_IS_FOLDER', `"${path}" is a folder; name the file in it.`, { details });
    case 'ERR_FS_FILE_TOO_LARGE':
      return inputError(
        'FILE_TOO_LARGE',
        `"${path}" is larger than 2 GB, more than any intraoral scan; check that it is the right file.`,
        { details },
      );
    default:
      return inputError(
        'FILE_NOT_READABLE',
        `"${path}" cannot be read (${code || 'unknown fault'}); check who may read it.`,
        { details, cause },
      );
  }
}

/** Why a file or folder could not be written, in a sentence. Nothing that looks finished was left behind. */
export function writeFault(path: string, cause: unknown): ArchgapError {
  const code = faultCode(cause);
  const details = { path, fault: code };
  switch (code) {
    case 'ENOSPC':
    case 'EDQUOT':
      return inputError(
        'DISK_FULL',
        `There is no room left to write "${path}"; free some space. Nothing was written.`,
        {
          details,
        },
      );
    case 'ENOTDIR':
    case 'EEXIST':
      return inputError(
        'OUT_NOT_A_FOLDER',
        `"${path}" cannot be made because a file of that name stands in the way; name another folder.`,
        { details },
      );
    case 'ENOENT':
      return inputError(
        'OUT_NOT_WRITABLE',
        `"${path}" cannot be written: the folder in which it should lie is not there; make it, or name another. Nothing was written.`,
        { details, cause },
      );
    case 'EROFS':
      return inputError(
        'OUT_NOT_WRITABLE',
        `"${path}" cannot be written: its disk is read-only (EROFS); name a folder on another. Nothing was written.`,
        { details, cause },
      );
    default:
      return inputError(
        'OUT_NOT_WRITABLE',
        `"${path}" cannot be written (${code || 'unknown fault'}); name a folder you may write to. Nothing was written.`,
        { details, cause },
      );
  }
}

/** A device in the place of a file: some of them never end. */
export function isDevice(path: string): ArchgapError {
  return inputError(
    'FILE_IS_DEVICE',
    `"${path}" is a device, no file; name a file, or /dev/stdin for what is piped in.`,
    { details: { path } },
  );
}

/** Why only some of a command's files, each of them whole, came to their place: the rest is as it was before. */
export function halfPlacedFault(path: string, placed: readonly string[], cause: unknown): ArchgapError {
  const code = faultCode(cause);
  const names = placed.map((done) => `"${done}"`).join(', ');
  return inputError(
    'OUT_HALF_PLACED',
    `"${path}" cannot be put in its place (${code || 'unknown fault'}); already new: ${names}. Do not use them with older files beside them: mend what hinders and run the command again.`,
    { details: { path, placed: placed.join(', '), fault: code }, cause },
  );
}
