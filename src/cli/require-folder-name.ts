import { usageError } from '../geometry/archgap-error.ts';

/**
 * Refuses what names no folder, before any work.
 * @throws ArchgapError usage `OUT_NOT_A_FOLDER`
 */
export function requireFolderName(out: string): void {
  if (out.startsWith('--')) {
    throw usageError(
      'OUT_NOT_A_FOLDER',
      `--out is followed by "${out}", which looks like an option; name a folder, one that really begins so as "./${out}".`,
    );
  }
  if (out !== '-' && out !== '') return;
  throw usageError(
    'OUT_NOT_A_FOLDER',
    '--out names a folder for several files; standard output cannot take them.',
  );
}
