import type { CliFiles } from './cli-io.ts';

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
export function isResultName(path: string): boolean {
  return path.endsWith(RESULT_NAME);
}

/** The result of an earlier case that is named by its folder or by the result itself. */
export function resultPathOf(earlier: string, files: CliFiles): string {
  return isResultName(earlier) ? earlier : files.join(earlier, RESULT_NAME);
}
