import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Command } from 'commander';
import { errorPlot } from './error-plot.ts';
import { type ArchResult, evaluateSegmentation } from './evaluate-segmentation.ts';
import { evaluateSizes, type JudgedSize } from './evaluate-sizes.ts';
import { evaluateSpaces } from './evaluate-spaces.ts';
import { fillTemplate } from './fill-template.ts';
import type { JudgedContact } from './judge-spaces.ts';
import { findLabelledCases, type LabelledCase, readLabelledCase } from './labelled-case.ts';
import { madeCase } from './made-case.ts';
import { madeSpec, wideSpec } from './made-specs.ts';
import { segmentationTable } from './segmentation-report.ts';
import { crownTable, sizesTable } from './sizes-report.ts';
import { contactTable, spacesTable } from './spaces-report.ts';
import { readTrueCrowns } from './true-clearance.ts';
import { type JudgedWeb, judgeWebs, websTable } from './webs-report.ts';

/*
 * npm run validate: makes docs/validation.md and its plots anew from docs/validation.template.md. The words stand in the
 * template, every figure is measured here. Nothing random, no times: the same code and data give the same bytes.
 */

const DATA = '../shared/data';
const DONOR = join(DATA, 'synthetic', 'upper-three-spaces');
const MADE = 4;
const WIDE = 4;
const PLOTS = 'docs/validation';
const JITTER = { reachMm: 1.5, seeds: 1 };
/** Columns of the segmentation's table that tell times. */
const TIME_COLUMNS = 3;

interface Collected {
  readonly segmentation: ArchResult[];
  readonly shared: JudgedContact[];
  readonly sharedTrueLabels: JudgedContact[];
  readonly made: JudgedContact[];
  readonly wide: JudgedContact[];
  readonly sharedWebs: JudgedWeb[];
  readonly sharedSizes: JudgedSize[];
  readonly madeSizes: JudgedSize[];
}

function say(text: string): void {
  process.stderr.write(`${text}\n`);
}

/** The table without its last columns. */
function withoutTimes(table: string): string {
  return table
    .split('\n')
    .map(
      (line) =>
        `${line
          .split('|')
          .slice(0, -1 - TIME_COLUMNS)
          .join('|')}|`,
    )
    .join('\n');
}

async function collectShared(into: Collected): Promise<void> {
  for (const folder of findLabelledCases([DATA])) {
    const labelled = await readLabelledCase(folder);
    for await (const result of evaluateSegmentation(labelled, { jitter: JITTER, spaces: true }))
      into.segmentation.push(result);
    if (labelled.spaces !== null) {
      const crowns = await readTrueCrowns(folder, DONOR, labelled.spaces);
      const found = await evaluateSpaces(labelled, crowns, { labels: 'own' });
      into.shared.push(...found);
      if (labelled.webs !== null) into.sharedWebs.push(...judgeWebs(found, labelled.webs));
      into.sharedTrueLabels.push(...(await evaluateSpaces(labelled, crowns, { labels: 'true' })));
      into.sharedSizes.push(...(await evaluateSizes(labelled)));
    }
    say(`${folder}: done`);
  }
}

async function collectMade(labelled: LabelledCase, spaces: JudgedContact[], into: Collected): Promise<void> {
  spaces.push(...(await evaluateSpaces(labelled, new Map(), { labels: 'own' })));
  into.madeSizes.push(...(await evaluateSizes(labelled)));
  say(`${labelled.name}: done`);
}

async function validate(): Promise<void> {
  const all: Collected = {
    segmentation: [],
    shared: [],
    sharedTrueLabels: [],
    made: [],
    wide: [],
    sharedWebs: [],
    sharedSizes: [],
    madeSizes: [],
  };
  await collectShared(all);
  for (let seed = 1; seed <= MADE; seed += 1)
    await collectMade(await madeCase(madeSpec(seed)), all.made, all);
  for (let seed = 1; seed <= WIDE; seed += 1)
    await collectMade(await madeCase(wideSpec(seed)), all.wide, all);
  const lastOf = (table: string): string => {
    const lines = table.split('\n');
    return [...lines.slice(0, 2), lines.at(-1)].join('\n');
  };
  mkdirSync(PLOTS, { recursive: true });
  writeFileSync(join(PLOTS, 'errors-shared.svg'), errorPlot(all.shared, 'Errors on the synthetic scans'));
  writeFileSync(
    join(PLOTS, 'errors-made.svg'),
    errorPlot([...all.made, ...all.wide], 'Errors on invented mouths'),
  );
  const page = fillTemplate(readFileSync('docs/validation.template.md', 'utf8'), {
    segmentation: withoutTimes(segmentationTable(all.segmentation)),
    'spaces-shared': spacesTable(all.shared),
    'contacts-shared': contactTable(all.shared.filter(({ place }) => place.endsWith('(clicks)'))),
    'spaces-true-labels': lastOf(spacesTable(all.sharedTrueLabels)),
    'webs-shared': websTable(all.sharedWebs),
    'spaces-made': spacesTable(all.made),
    'contacts-made': contactTable(all.made),
    'spaces-wide': spacesTable(all.wide),
    'contacts-wide': contactTable(all.wide),
    'sizes-shared': sizesTable(all.sharedSizes),
    'sizes-made': sizesTable(all.madeSizes),
    'crowns-shared': crownTable(all.sharedSizes),
  });
  writeFileSync('docs/validation.md', page);
  say('docs/validation.md written');
}

await new Command('validate')
  .description('Makes docs/validation.md anew: what was tested, on what, with what result.')
  .action(validate)
  .parseAsync();
