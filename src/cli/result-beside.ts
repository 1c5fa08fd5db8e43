import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import type { CliFiles } from './cli-io.ts';
import { readFault } from './file-faults.ts';

const RESULT_NAME = 'result.json';

/**
 * Where the other files of one measurement lie beside its result: `labelled.ply` beside `result.json`,
 * `scan-upper-labelled.ply` beside `scan-upper-result.json`, as the page names what it saves.
 *
 * @param resultPath - path of the result
 * @param name - of the file beside it, such as `labelled.ply`
 */
export function besideResult(resultPath: string, name: string, files: CliFiles): string {
  const own = files.baseName(resultPath);
  const prefix = isResultName(own) ? own.slice(0, -RESULT_NAME.length) : '';
  return files.join(files.parent(resultPath), `${prefix}${name}`);
}

/** Whether a path names the result of one measurement; else it is taken for a folder. */
function isResultName(path: string): boolean {
  return path.endsWith(RESULT_NAME);
}

/** How many names of a folder are told in a refusal. */
const MOST_TOLD = 5;

/**
 * The result of an earlier case that is named by its folder or by the result itself: `result.json` where the folder has
 * it, else the only one that is named as the page saves it (`scan-upper-result.json`).
 *
 * @throws ArchgapError `FILE_NOT_FOUND`, `EARLIER_NO_FOLDER` for a file, `EARLIER_AMBIGUOUS` for several such results,
 *   and what is wrong with reading the folder
 */
export function findResult(earlier: string, files: CliFiles): string {
  if (isResultName(earlier)) return earlier;
  const inFolder = namesIn(earlier, files);
  if (inFolder.includes(RESULT_NAME)) return files.join(earlier, RESULT_NAME);
  const results = inFolder.filter((name) => name.endsWith(`-${RESULT_NAME}`)).sort();
  const [only, ...others] = results;
  if (only === undefined) throw noResult(earlier, inFolder, files);
  if (others.length === 0) return files.join(earlier, only);
  throw inputError(
    'EARLIER_AMBIGUOUS',
    `"${earlier}" has no ${RESULT_NAME} and ${results.length} that the page saved: ${listed(results)}. Name the one to compare with.`,
    { details: { folder: earlier } },
  );
}

/** @throws ArchgapError `FILE_NOT_FOUND`, `EARLIER_NO_FOLDER`, `FILE_NOT_READABLE` */
function namesIn(folder: string, files: CliFiles): readonly string[] {
  let isFile: boolean;
  try {
    const names = files.filesIn(folder);
    if (names !== null) return names;
    isFile = files.filesIn(files.parent(files.resolve(folder)))?.includes(files.baseName(folder)) ?? false;
  } catch (cause) {
    throw readFault(folder, cause);
  }
  if (isFile) {
    throw inputError(
      'EARLIER_NO_FOLDER',
      `"${folder}" is a file, and no ${RESULT_NAME}; the folder of the earlier case comes first, or its ${RESULT_NAME}, then the new scan.`,
      { details: { path: folder } },
    );
  }
  throw readFault(folder, { code: 'ENOENT' });
}

function noResult(folder: string, names: readonly string[], files: CliFiles): ArchgapError {
  const entries = [...files.foldersIn(folder).map((name) => `${name}/`), ...names].sort();
  return inputError(
    'FILE_NOT_FOUND',
    `"${folder}" holds neither ${RESULT_NAME}, as archgap measure writes it, nor a file that ends in -${RESULT_NAME}, as the page saves it; found ${listed(entries)}. Name the folder with the result, or the result itself.`,
    { details: { folder } },
  );
}

function listed(names: readonly string[]): string {
  if (names.length === 0) return 'nothing';
  return `${names.slice(0, MOST_TOLD).join(', ')}${names.length > MOST_TOLD ? ' …' : ''}`;
}
