/** What is read of an issue of a schema check; no library is named, so that every step of the house can use it. */
export interface SchemaIssue {
  readonly kind: string;
  readonly received: string;
  readonly message: string;
  readonly expected?: string | null;
  readonly path?: readonly { readonly key: unknown }[] | undefined;
}

/**
 * A failed check in words, to stand behind the place: `it is missing; expected "upper" or "lower"`. A field that is not
 * there is called missing (the library says `received undefined`, and of what was expected only the field's own name).
 *
 * @param schema - the schema that was checked: it knows what was expected in the place
 */
export function schemaFault(issue: SchemaIssue, schema: unknown): string {
  const isMissing = issue.received === 'undefined';
  if (issue.kind !== 'schema' && !isMissing) {
    // A schema's own words stay (`no ISO 3950 tooth number`); the library's begin with Invalid and what it should be.
    const kind = /^Invalid ([^:]+):/.exec(issue.message)?.[1];
    if (kind === undefined) return issue.message;
    const range = issue.expected?.replace(/^<=/, 'at most ').replace(/^>=/, 'at least ');
    const wanted =
      range === undefined ? `a valid ${kind}` : `${kind === 'length' ? 'a length of ' : ''}${range}`;
    return `expected ${wanted}, found ${issue.received}`;
  }
  const expected = expectedAt(schema, issue.path ?? []) ?? issue.expected ?? null;
  const wanted = expected === null ? 'another value' : plainType(expected);
  return isMissing
    ? `it is missing; expected ${wanted}`
    : `expected ${wanted}, found ${plainFound(issue.received)}`;
}

/** What a schema expects in a place; null where it cannot be followed there (unions, records). */
function expectedAt(schema: unknown, path: readonly { readonly key: unknown }[]): string | null {
  let here: unknown = schema;
  for (const { key } of path) {
    while (fieldOf(here, 'wrapped') !== null) here = fieldOf(here, 'wrapped');
    here =
      fieldOf(fieldOf(here, 'entries'), key) ?? fieldOf(fieldOf(here, 'items'), key) ?? fieldOf(here, 'item');
    if (here === null) return null;
  }
  const expects = fieldOf(here, 'expects');
  return typeof expects === 'string' ? expects : null;
}

function fieldOf(of: unknown, key: unknown): unknown {
  if (typeof of !== 'object' || of === null || !Object.hasOwn(of, key as PropertyKey)) return null;
  return (of as Record<PropertyKey, unknown>)[key as PropertyKey] ?? null;
}

const PLAIN: Readonly<Record<string, string>> = {
  string: 'a text',
  number: 'a number',
  boolean: 'true or false',
  Array: 'a list',
  Object: 'an object',
  null: 'nothing (null)',
};

/** `("upper" | "lower")` as `"upper" or "lower"`, `Array` as `a list`. */
function plainType(expects: string): string {
  const choices = expects.replace(/^\((.*)\)$/, '$1').split(' | ');
  return choices.map((choice) => PLAIN[choice] ?? choice).join(' or ');
}

/** Values stand as in the file; a list or an object is called so. */
function plainFound(received: string): string {
  return PLAIN[received] ?? received;
}
