import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { Command, InvalidArgumentError } from 'commander';
import { ArchgapError, usageError } from '../../src/geometry/archgap-error.ts';
import { type ArchResult, evaluateSegmentation } from './evaluate-segmentation.ts';
import { evaluateSpaces } from './evaluate-spaces.ts';
import { gapError, type JudgedContact, spacesFigures } from './judge-spaces.ts';
import { findLabelledCases, type LabelledCase, readLabelledCase } from './labelled-case.ts';
import { madeCase } from './made-case.ts';
import { madeSpec, wideSpec } from './made-specs.ts';
import { segmentationFigures, segmentationOffenders, segmentationTable } from './segmentation-report.ts';
import { contactTable, spacesTable, verdictOf } from './spaces-report.ts';
import { readTrueCrowns, type TrueCrowns } from './true-clearance.ts';
import { keptMouth } from './variants/kept-mouth.ts';
import { VARIANT_MOUTHS } from './variants/variant-mouths.ts';
import { VARIANTS } from './variants/variants.ts';
import { type VariantResult, variantsTable, worstTeeth } from './variants/variants-report.ts';
import { type JudgedWeb, judgeWebs, websTable } from './webs-report.ts';

/*
 * npm run evaluate -- segmentation DIR...    how well teeth are told apart on scans with true labels
 * npm run evaluate -- variants DIR...        the same on mouths made coarser, with teeth lost, cut, closed, half clicked
 * npm run evaluate -- spaces DIR...          how well spaces are measured on scans with known ones
 */

/** Where invented mouths are kept, beside the other things that are made. */
const KEPT_MOUTHS = '.artefacts/mouths';
/** How far moved clicks of the variants lie from the given ones, mm. */
const JITTER_MM = 1.5;

function positive(text: string): number {
  const value = Number(text);
  if (!(value > 0)) throw new InvalidArgumentError('a number above zero is expected.');
  return value;
}

function say(text: string): void {
  process.stdout.write(`${text}\n`);
}

/** A case that is read, or made, when its turn comes. */
interface Job {
  readonly name: string;
  /** Null for one that is made here. */
  readonly folder: string | null;
  readonly load: () => Promise<LabelledCase>;
}

function jobsOf(folders: readonly string[], made: number, wide = 0, first = 1): Job[] {
  const found = findLabelledCases(folders).map(
    (folder): Job => ({ name: folder, folder, load: () => readLabelledCase(folder) }),
  );
  for (let seed = 1; seed <= made; seed += 1)
    found.push({ name: `made, seed ${seed}`, folder: null, load: () => madeCase(madeSpec(seed)) });
  for (let seed = first; seed < first + wide; seed += 1)
    found.push({ name: `wide, seed ${seed}`, folder: null, load: () => madeCase(wideSpec(seed)) });
  if (found.length > 0) return found;
  throw usageError(
    'NO_LABELLED_SCAN',
    `Found no labelled scan in ${folders.join(', ') || 'no folder'}; name a folder with scan.ply or scan.stl, labels.u8 or labels-per-triangle.u8, and clicks.json, or say --made N.`,
  );
}

function writeJson(file: string | undefined, value: unknown): void {
  if (file === undefined) return;
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, `${JSON.stringify(value, null, 1)}\n`);
}

interface SegmentationFlags {
  readonly jitter?: number;
  readonly seeds: number;
  readonly floor: number;
  readonly spaces: boolean;
  readonly made: number;
  readonly json?: string;
}

async function segmentation(folders: readonly string[], flags: SegmentationFlags): Promise<void> {
  const jitter = flags.jitter === undefined ? null : { reachMm: flags.jitter, seeds: flags.seeds };
  const results: ArchResult[] = [];
  for (const job of jobsOf(folders, flags.made)) {
    const labelled = await job.load();
    for await (const result of evaluateSegmentation(labelled, { jitter, spaces: flags.spaces }))
      results.push(result);
    process.stderr.write(`${job.name}: done\n`);
  }
  say(segmentationTable(results));
  const offenders = segmentationOffenders(results, flags.floor);
  say(`\nTeeth below ${flags.floor} or in pieces, contacts seen otherwise: ${offenders.length || 'none'}`);
  for (const line of offenders) say(`- ${line}`);
  writeJson(flags.json, {
    total: segmentationFigures(results),
    arches: results.map((result) => ({
      arch: result.arch,
      clicks: result.clicks,
      triangles: result.triangles,
      figures: segmentationFigures([result]),
      teeth: result.teeth,
      spaces: result.spaces,
    })),
  });
}

interface SpacesFlags {
  readonly wide: number;
  readonly first: number;
  readonly labels: 'own' | 'true';
  readonly crowns?: string;
  readonly made: number;
  readonly json?: string;
}

async function spaces(folders: readonly string[], flags: SpacesFlags): Promise<void> {
  const judged: JudgedContact[] = [];
  const webs: JudgedWeb[] = [];
  for (const job of jobsOf(folders, flags.made, flags.wide, flags.first)) {
    const labelled = await job.load();
    if (labelled.spaces === null) {
      process.stderr.write(`${job.name}: no truth.json, left out\n`);
      continue;
    }
    const crowns: TrueCrowns =
      job.folder === null
        ? new Map()
        : await readTrueCrowns(job.folder, flags.crowns ?? null, labelled.spaces);
    const found = await evaluateSpaces(labelled, crowns, { labels: flags.labels });
    judged.push(...found);
    if (labelled.webs !== null) webs.push(...judgeWebs(found, labelled.webs));
    process.stderr.write(`${job.name}: done\n`);
  }
  say(spacesTable(judged));
  say(`\n${contactTable(judged)}`);
  if (webs.length > 0) say(`\n${websTable(webs)}`);
  writeJson(flags.json, {
    total: spacesFigures(judged),
    contacts: judged.map((one) => ({
      place: one.place,
      truth: one.truth,
      errorMm: gapError(one),
      trueClearanceMm: one.trueClearanceMm,
      verdict: verdictOf(one),
      contact: one.contact,
    })),
  });
}

interface VariantFlags {
  readonly only?: string;
  readonly seeds: number;
  readonly floor: number;
  readonly json?: string;
}

async function variants(folders: readonly string[], flags: VariantFlags): Promise<void> {
  const wanted = new RegExp(flags.only ?? '');
  const chosen = VARIANTS.filter(({ name }) => wanted.test(name));
  const mouths = [
    ...findLabelledCases(folders).map((folder) => () => readLabelledCase(folder)),
    ...VARIANT_MOUTHS.map((spec) => () => keptMouth(spec, KEPT_MOUTHS)),
  ];
  const results: VariantResult[] = [];
  for (const load of mouths) {
    const mouth = await load();
    for (const { name, make } of chosen) {
      for (const changed of await changedCases(mouth, name, make)) {
        const jitter = { reachMm: JITTER_MM, seeds: flags.seeds };
        for await (const result of evaluateSegmentation(changed, { jitter, spaces: false }))
          results.push({ variant: name, mouth: mouth.name, result });
      }
    }
    process.stderr.write(`${mouth.name}: done\n`);
  }
  say(variantsTable(results, 'variant'));
  say(`\n${variantsTable(results, 'mouth')}`);
  const worst = worstTeeth(results, flags.floor);
  say(`\nTeeth below ${flags.floor}: ${worst.length || 'none'}`);
  for (const line of worst) say(`- ${line}`);
  writeJson(
    flags.json,
    results.map(({ variant, mouth, result: { arch, clicks, teeth, swallowed } }) => ({
      variant,
      mouth,
      arch,
      clicks,
      teeth,
      swallowed,
    })),
  );
}

/** A mouth that a change can't be made to is left out, and that is said. */
async function changedCases(
  mouth: LabelledCase,
  variant: string,
  make: (labelled: LabelledCase) => Promise<readonly LabelledCase[]>,
): Promise<readonly LabelledCase[]> {
  try {
    return await make(mouth);
  } catch (fault) {
    process.stderr.write(`${mouth.name}, ${variant}: left out: ${String(fault)}\n`);
    return [];
  }
}

const program = new Command('evaluate').description(
  'Compares what Archgap finds with what is known of labelled scans.',
);
program
  .command('segmentation')
  .argument('[folder...]', 'folders with labelled scans, searched through')
  .option('--made <n>', 'also invented mouths of the generator, seeds 1 to n', positive, 0)
  .option('--jitter <mm>', 'also clicks moved to a random place of the crown this near', positive)
  .option('--seeds <n>', 'number of moved click sets', positive, 3)
  .option('--floor <iou>', 'list teeth below this overlap', positive, 0.96)
  .option('--no-spaces', 'leave out what the labels do to the measured spaces')
  .option('--json <file>', 'write all results')
  .action(segmentation);
program
  .command('variants')
  .argument('[folder...]', 'folders with labelled scans, searched through, beside the invented mouths')
  .option('--only <pattern>', 'variants whose name matches')
  .option('--seeds <n>', 'number of moved click sets', positive, 1)
  .option('--floor <iou>', 'list teeth below this overlap', positive, 0.94)
  .option('--json <file>', 'write all results')
  .action(variants);
program
  .command('spaces')
  .argument('[folder...]', 'folders with labelled scans and truth.json, searched through')
  .option('--made <n>', 'also invented mouths of the generator, seeds 1 to n', positive, 0)
  .option('--wide <n>', 'also n mouths over the whole range of noise, edges and webs', positive, 0)
  .option('--first <seed>', 'first seed of these', positive, 1)
  .option(
    '--labels <whose>',
    'own or true',
    (text) => {
      if (text !== 'own' && text !== 'true') throw new InvalidArgumentError('own or true is expected.');
      return text;
    },
    'own',
  )
  .option('--crowns <case>', 'folder of a case with true crowns for cases of the same teeth without')
  .option('--json <file>', 'write all results')
  .action(spaces);

try {
  await program.parseAsync();
} catch (fault) {
  if (!(fault instanceof ArchgapError)) throw fault;
  process.stderr.write(`evaluate: ${fault.code}: ${fault.message}\n`);
  process.exitCode = 3;
}
