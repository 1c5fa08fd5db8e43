/** Most letters of a scan's name that go into the name of a file about it. */
const MOST_LETTERS = 80;

/** The name of a scan without its ending, in letters that every file system takes; `scan` where nothing is left. */
export function plainStem(fileName: string): string {
  const stem = fileName.replace(/\.[^.]*$/, '').replace(/[^\p{L}\p{N}._-]+/gu, '-');
  return stem.replace(/^[.-]+|[.-]+$/g, '').slice(0, MOST_LETTERS) || 'scan';
}
