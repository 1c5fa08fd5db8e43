import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { expect, type Page } from '@playwright/test';

/** WCAG 2.2 A and AA by axe-core; the policy of the page forbids a script tag, so it is evaluated. */

const source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
/** Rules that must have found something that they agree with: an empty page breaks none either. */
const LEAST_PASSES = 10;

interface AxeWindow {
  readonly axe?: {
    run(
      context: { include: string[][]; exclude: string[][] },
      options: { runOnly: string[] },
    ): Promise<{ violations: { id: string; nodes: { html: string }[] }[]; passes: unknown[] }>;
  };
}

/** The whole page as it stands breaks none of the rules. `exclude`: selectors of what is left out. */
export async function expectAccessible(page: Page, state: string, exclude: readonly string[] = []) {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(source);
  const { violations, passes } = await page.evaluate(
    async ({ tags, left }) => {
      const { axe } = window as unknown as AxeWindow;
      const found = await axe!.run(
        { include: [['html']], exclude: left.map((one) => [one]) },
        { runOnly: tags },
      );
      return {
        passes: found.passes.length,
        violations: found.violations.map(
          ({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' | ')}`,
        ),
      };
    },
    { tags: TAGS, left: exclude },
  );
  expect(violations, state).toEqual([]);
  expect(passes, state).toBeGreaterThan(LEAST_PASSES);
}

/** The same in both themes; the page is left in the light one. */
export async function expectAccessibleInBoth(page: Page, state: string, exclude: readonly string[] = []) {
  for (const colorScheme of ['dark', 'light'] as const) {
    await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    await expectAccessible(page, `${state}, ${colorScheme}`, exclude);
  }
}
