import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const page = readFileSync(`${root}docs/robustness.md`, 'utf8');

/** Every test that the page names: a file, and after it the titles in it. */
const named = [...page.matchAll(/`(tests\/[\w/.-]+)`((?:[:;] "(?:\\.|[^"\\])*")*)/g)].map(
  ([, file = '', rest = '']) => ({
    file,
    titles: [...rest.matchAll(/"((?:\\.|[^"\\])*)"/g)].map(([, title = '']) => title.replaceAll('\\"', '"')),
  }),
);

describe('docs/robustness.md', () => {
  it('names tests', () => expect(named.length).toBeGreaterThan(30));

  it.each(named.map(({ file, titles }, k) => [k, file, titles] as const))(
    '%d: %s has every test it is said to have',
    (_, file, titles) => {
      expect(existsSync(`${root}${file}`), file).toBe(true);
      const source = readFileSync(`${root}${file}`, 'utf8').replaceAll("\\'", "'");
      for (const title of titles) expect(source).toContain(title);
    },
  );
});
