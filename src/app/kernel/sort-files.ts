import { looksLikeCaseFile } from '../../casefile/read-case-file.ts';
import { inputError } from '../../geometry/archgap-error.ts';
import type { CaseFile, GivenFile } from './given-file.ts';

/** What came onto the page in one go, by what it is for. */
interface SortedFiles {
  readonly caseFile: CaseFile | null;
  /** The scan to begin with, and the one that opposes it; beside a case file the next scan of that case. */
  readonly scans: readonly GivenFile[];
  readonly clicks: CaseFile | null;
}

const UPPER = /upper|maxil|oberk|superior/i;
const LOWER = /lower|mandib|unterk|inferior/i;

/**
 * Sorts files by their content and, for click files, their name. Of two scans the one named after the upper jaw comes
 * first; which jaw a scan shows is still for the user to say. What nobody has read yet is a scan.
 *
 * @throws ArchgapError `TOO_MANY_FILES`
 */
export function sortFiles(files: readonly GivenFile[]): SortedFiles {
  const read = files.filter((file): file is CaseFile => file.bytes instanceof Uint8Array);
  const caseFiles = read.filter(({ bytes }) => looksLikeCaseFile(bytes));
  const clicks = read.filter((file) => !caseFiles.includes(file) && /\.json$/i.test(file.name));
  const others: readonly GivenFile[] = [...caseFiles, ...clicks];
  const scans = files.filter((file) => !others.includes(file));
  const tooMany = caseFiles.length > 1 || clicks.length > 1 || scans.length > 2;
  const beside = clicks.length + scans.length;
  if (tooMany || (caseFiles.length > 0 && (beside > 1 || clicks.length > 0))) {
    throw inputError(
      'TOO_MANY_FILES',
      `${files.length} files came at once; open one case file, alone or with the next scan of that case, or one or two scans (the upper and the lower one) with one click file for the first.`,
    );
  }
  return { caseFile: caseFiles[0] ?? null, clicks: clicks[0] ?? null, scans: [...scans].sort(byJaw) };
}

function byJaw(a: GivenFile, b: GivenFile): number {
  return rank(a) - rank(b);
}

function rank({ name }: GivenFile): number {
  if (UPPER.test(name)) return 0;
  return LOWER.test(name) ? 2 : 1;
}
