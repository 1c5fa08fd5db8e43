import { parseAst } from 'vite';
import { expect, it } from 'vitest';
import { bindImports } from './direct-imports.ts';

const bound = (code: string) =>
  bindImports(code, parseAst(code).body as unknown as Parameters<typeof bindImports>[1]);

it('binds names, other names and defaults, and moves no line', () => {
  const code =
    "import a, { b, c as d } from './x.ts';\nimport {\n  e,\n} from 'y';\nexport const f = a + b + d + e;";
  expect(bound(code)).toBe(
    `import * as from0 from "./x.ts"; const { default: a, b: b, c: d } = from0;
import * as from39 from "y"; const { e: e } = from39;


export const f = a + b + d + e;`,
  );
});

it('leaves whole modules, imports for their effect and all else as they are', () => {
  const code = "import * as all from './x.ts';\nimport './y.ts';\nexport { z } from './z.ts';\nall.a();";
  expect(bound(code)).toBe(code);
});
