/** What a list of scans says of a row that can name it. */
export interface RowToName {
  /** Cells of the columns that tell repeated measurements apart, in the order in which they stand in the name. */
  readonly cells: readonly string[];
  /** Whether the first of them is the row's own id, so that the file name of the scan is not needed. */
  readonly hasId: boolean;
  /** Paths as the list has them. */
  readonly scan: string;
  readonly clicks: string;
}

interface Path {
  readonly folders: readonly string[];
  /** File name without its ending. */
  readonly stem: string;
}

/** Longest name of a folder that every file system takes with room for a suffix. */
const MOST_NAME_CHARACTERS = 100;

/**
 * Names of the rows of a list, for their folders and as key of every table: letters, digits, `.`, `_`, `-`, no two
 * alike. A row is named by its id, else by the file name of its scan, and its further cells. Rows that would be named
 * alike get the folders in which the paths of their scans differ, then what differs in the paths of their clicks;
 * what is still alike gets -2, -3 ... in its order.
 */
export function rowNames(rows: readonly RowToName[]): string[] {
  const plain = rows.map((row) => joined(plainParts(row)));
  const byScan = differingParts(rows, plain, ({ scan, hasId }) => {
    const { folders, stem } = pathOf(scan);
    return hasId ? [...folders, stem] : folders;
  });
  const withScan = rows.map((_, k) => joined([plain[k]!, ...byScan[k]!]));
  const byClicks = differingParts(rows, withScan, ({ clicks }) => {
    const { folders, stem } = pathOf(clicks);
    return [...folders, stem];
  });
  const taken = new Set<string>();
  return rows.map((row, k) => {
    const own = plainParts(row);
    const scanFirst = row.hasId ? [...own, ...byScan[k]!] : [...byScan[k]!, ...own];
    return uniqueName(joined([...scanFirst, ...byClicks[k]!]), taken);
  });
}

function plainParts({ cells, hasId, scan }: RowToName): readonly string[] {
  return hasId ? cells : [pathOf(scan).stem, ...cells];
}

function pathOf(path: string): Path {
  const parts = path.split(/[/\\]/).filter((part) => part !== '' && part !== '.');
  const stem = (parts.pop() ?? '').replace(/\.[^.]*$/, '');
  return { folders: parts, stem };
}

/** Per row what its list of parts has beyond that of the rows of its name; empty where the name is its own. */
function differingParts(
  rows: readonly RowToName[],
  names: readonly string[],
  partsOf: (row: RowToName) => readonly string[],
): (readonly string[])[] {
  const groups = new Map<string, number[]>();
  names.forEach((name, k) => {
    const group = groups.get(name.toLowerCase());
    if (group) group.push(k);
    else groups.set(name.toLowerCase(), [k]);
  });
  const found: (readonly string[])[] = rows.map(() => []);
  for (const group of groups.values()) {
    const differing = withoutCommonEnds(group.map((k) => partsOf(rows[k]!)));
    group.forEach((k, at) => {
      found[k] = differing[at]!;
    });
  }
  return found;
}

/** Lists without the first and last entries that all of them share. */
function withoutCommonEnds(lists: readonly (readonly string[])[]): (readonly string[])[] {
  const shortest = Math.min(...lists.map(({ length }) => length));
  const [first] = lists;
  let before = 0;
  while (before < shortest && lists.every((list) => list[before] === first![before])) before += 1;
  let after = 0;
  while (after < shortest - before && lists.every((list) => list.at(-1 - after) === first!.at(-1 - after)))
    after += 1;
  return lists.map((list) => list.slice(before, list.length - after));
}

/** Parts in letters that every file system takes; one without any such letter is left out. */
function joined(parts: readonly string[]): string {
  const name = parts
    .map((part) =>
      part
        .normalize('NFKD')
        .replace(/\p{M}/gu, '')
        .replace(/[^A-Za-z0-9.-]+/g, '-'),
    )
    .filter((part) => /[A-Za-z0-9]/.test(part))
    .join('_')
    .replace(/^[.-]+|[.-]+$/g, '')
    .slice(0, MOST_NAME_CHARACTERS);
  return name === '' ? 'row' : name;
}

/** Some file systems do not tell upper case from lower. */
function uniqueName(name: string, taken: Set<string>): string {
  let unique = name;
  for (let k = 2; taken.has(unique.toLowerCase()); k += 1) unique = `${name}-${k}`;
  taken.add(unique.toLowerCase());
  return unique;
}
