import type { Plugin } from 'vitest/config';

interface Import {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly source: { readonly value: unknown };
  readonly specifiers: readonly {
    readonly type: string;
    readonly imported?: { readonly name?: string };
    readonly local: { readonly name: string };
  }[];
}

/**
 * Binds the names that a file of the project imports to constants of its own, once.
 *
 * The runner of the tests looks every imported name up at every use, in an object whose reads the engine does not
 * compile: the same calculation takes a quarter more processor time than built. What is imported is there when a file
 * begins, since no file imports in a circle (`.dependency-cruiser.cjs`), and what a test puts in the place of a module
 * is bound as the module would be.
 */
export function directImports(): Plugin {
  return {
    name: 'direct-imports',
    // After the types are gone.
    enforce: 'post',
    transform: {
      filter: { id: /^(?!.*\/node_modules\/).*\/(src|fixtures|workers)\/.*\.ts$/ },
      handler(code) {
        const bound = bindImports(code, this.parse(code).body as unknown as readonly Import[]);
        // No line moves: places in messages stay right with the map there is.
        return bound === code ? null : { code: bound, map: null };
      },
    },
  };
}

/**
 * The code with its imports of names as imports of whole modules, and a constant for each name.
 * @param statements - the statements of the code, as parsed
 */
export function bindImports(code: string, statements: readonly Import[]): string {
  let out = '';
  let from = 0;
  for (const { type, start, end, source, specifiers } of statements) {
    if (type !== 'ImportDeclaration' || specifiers.length === 0) continue;
    if (specifiers.some((one) => one.type === 'ImportNamespaceSpecifier')) continue;
    const names = specifiers.map(({ imported, local }) => `${imported?.name ?? 'default'}: ${local.name}`);
    const lines = '\n'.repeat(code.slice(start, end).split('\n').length - 1);
    out += `${code.slice(from, start)}import * as from${start} from ${JSON.stringify(source.value)};`;
    out += ` const { ${names.join(', ')} } = from${start};${lines}`;
    from = end;
  }
  return out + code.slice(from);
}
