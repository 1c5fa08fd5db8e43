import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fillTemplate } from '../evaluation/fill-template.ts';
import type { BenchReport } from './benchmark.ts';
import { growthPlot } from './growth-plot.ts';

/*
 * npm run performance: docs/performance.md and its plot from the last runs of `npm run bench`, `npm run race`,
 * `npm run bench:page` and `npm run bench:batch`. Words stand in docs/performance.template.md, figures in .artefacts.
 */

const RUNS = {
  bench: 'npm run bench -- --large',
  race: 'npm run race',
  'bench-page': 'npm run bench:page -- --large',
  'bench-batch': 'npm run bench:batch',
} as const;

function lastRun(name: keyof typeof RUNS): string {
  const path = `.artefacts/${name}.md`;
  if (!existsSync(path)) throw new Error(`Found no ${path}; run \`${RUNS[name]}\` first.`);
  return readFileSync(path, 'utf8').trimEnd();
}

const template = readFileSync('docs/performance.template.md', 'utf8');
const parts = {
  bench: lastRun('bench'),
  race: lastRun('race'),
  page: lastRun('bench-page'),
  batch: lastRun('bench-batch'),
};
const { sizes } = JSON.parse(readFileSync('.artefacts/bench.json', 'utf8')) as BenchReport;
mkdirSync('docs/performance', { recursive: true });
writeFileSync('docs/performance/growth.svg', growthPlot(sizes));
writeFileSync('docs/performance.md', fillTemplate(template, parts));
