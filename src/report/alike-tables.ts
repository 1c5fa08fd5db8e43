/** One of the tables that are compared. */
interface ComparedTable {
  /** As it is told from the others. */
  readonly name: string;
  readonly sha256: string;
}

/**
 * Names the tables that are the same byte for byte. Such copies may be meant: the same scans and clicks measured again
 * give the same bytes. They may also be one table given twice, which agrees with itself.
 */
export function alikeSentences(tables: readonly ComparedTable[]): string[] {
  return tables.flatMap(({ name, sha256: own }, k) => {
    const before = tables.findIndex(({ sha256 }) => sha256 === own);
    if (before === k) return [];
    return [
      `${tables[before]!.name} and ${name} are the same byte for byte. If one is a copy of the other, their agreement says nothing.`,
    ];
  });
}
