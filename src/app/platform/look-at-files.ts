import { looksLikeZip } from '../../casefile/read-zip.ts';
import type { GivenFile } from '../kernel/given-file.ts';

/** From so many bytes on a scan is left unread. */
const HEAVY_BYTES = 1_000_000;

/**
 * Reads files, except heavy scans: those are for their worker to read, as the page would not answer anybody meanwhile.
 * What is a zip archive, whatever its name, is read: it may be a case file.
 *
 * @throws as the browser does, of a folder that was dropped or a file that is gone or locked
 */
export function lookAtFiles(files: Iterable<File>): Promise<GivenFile[]> {
  return Promise.all([...files].map(look));
}

async function look(file: File): Promise<GivenFile> {
  const { name } = file;
  const isHeavyScan =
    file.size >= HEAVY_BYTES &&
    /\.(stl|ply)$/i.test(name) &&
    !looksLikeZip(new Uint8Array(await file.slice(0, 4).arrayBuffer()));
  return { name, bytes: isHeavyScan ? file : new Uint8Array(await file.arrayBuffer()) };
}
