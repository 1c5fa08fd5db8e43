import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { Command } from 'commander';
import { median } from '../../src/geometry/median.ts';
import { columns, textTable } from '../evaluation/text-table.ts';
import { archFiles } from './arch-files.ts';
import { besideJson, loadAverage, machineFacts } from './machine.ts';
import { readUse, TELLER } from './taken.ts';

/*
 * npm run bench:batch -- [--scans 24,72] [--runs 3] [--json FILE]
 *
 * Lists of the same arch over and over through the built command line: one worker, one worker held to one core (what
 * one core does when the engine's own threads may not use the others; Linux), and two. The kinds and the lists take
 * turns, so that other work on the machine disturbs all alike; what is shown is the median of the runs, and every
 * run's own ratio beside it. What every further scan takes is the difference of the longest list and the shortest.
 * Nothing is asserted.
 */

interface Kind {
  readonly name: string;
  readonly jobs: number;
  readonly oneCore: boolean;
}

const KINDS: readonly Kind[] = [
  { name: 'one worker', jobs: 1, oneCore: false },
  { name: 'one worker held to one core', jobs: 1, oneCore: true },
  { name: 'two workers', jobs: 2, oneCore: false },
];

/** One run of one list, seconds. */
interface Run {
  readonly wall: number;
  readonly user: number;
  readonly system: number;
  readonly mb: number;
}

const PROGRAM = 'dist-cli/archgap.js';

function runOnce({ name, jobs, oneCore }: Kind, list: string, out: string): Run {
  rmSync(out, { recursive: true, force: true });
  const command = ['--import', TELLER, PROGRAM, 'batch', list, '--out', out, '--jobs', `${jobs}`];
  const node = [process.execPath, ...command];
  const [program, ...args] = oneCore ? ['taskset', '--cpu-list', '0', ...node] : node;
  const start = performance.now();
  const { status, stderr, error } = spawnSync(program!, args, { encoding: 'utf8' });
  const wall = (performance.now() - start) / 1000;
  if (error || status !== 0)
    throw new Error(`${name} ended with ${error?.message ?? `status ${status}`}: ${stderr}`);
  const { user, system, mb } = readUse(stderr);
  return { wall, user: user / 1000, system: system / 1000, mb };
}

/** A list of so many rows, all of them the one arch. */
function writeList(folder: string, scans: number): string {
  const { scan, clicks } = archFiles();
  const rows = Array.from({ length: scans }, (_, k) => `${resolve(scan)},${resolve(clicks)},arch-${k + 1}`);
  const path = join(folder, `list-${scans}.csv`);
  writeFileSync(path, `scan,clicks,id\n${rows.join('\n')}\n`);
  return path;
}

/** All runs of one list: of every kind as many, in the order of {@link KINDS}. */
interface ListRuns {
  readonly scans: number;
  readonly runs: readonly Run[][];
}

function timeLists(counts: readonly number[], rounds: number): ListRuns[] {
  const folder = mkdtempSync(join(tmpdir(), 'archgap-batch-'));
  const lists = counts.map((scans) => ({ scans, runs: KINDS.map((): Run[] => []) }));
  try {
    const files = counts.map((scans) => writeList(folder, scans));
    for (let round = 1; round <= rounds; round++) {
      for (const [l, { scans, runs }] of lists.entries()) {
        for (const [k, kind] of KINDS.entries()) {
          const one = runOnce(kind, files[l]!, join(folder, 'out'));
          process.stderr.write(
            `run ${round}, ${scans} scans, ${kind.name}: ${one.wall.toFixed(1)} s, user ${one.user.toFixed(1)}, system ${one.system.toFixed(1)}; load ${loadAverage()}\n`,
          );
          runs[k]!.push(one);
        }
      }
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
  return lists;
}

const middle = (runs: readonly Run[], value: (run: Run) => number): number =>
  median(Float64Array.from(runs, value));
const wallOf = ({ wall }: Run): number => wall;

/** Of one list, every kind's medians. */
function rowsOfList({ scans, runs }: ListRuns): (string | null)[][] {
  const one = runs[0]!;
  return KINDS.map(({ name }, k) => {
    const own = runs[k]!;
    const walls = own.map(wallOf).toSorted((a, b) => a - b);
    const wall = middle(own, wallOf);
    return [
      `${scans}`,
      name,
      wall.toFixed(1),
      `${walls[0]!.toFixed(1)} to ${walls.at(-1)!.toFixed(1)}`,
      middle(own, ({ user }) => user).toFixed(1),
      middle(own, ({ system }) => system).toFixed(1),
      Math.max(...own.map(({ mb }) => mb)).toFixed(0),
      ...rates(k, wall / scans),
      (middle(one, wallOf) / wall).toFixed(2),
      own.map((run, r) => (one[r]!.wall / run.wall).toFixed(2)).join(' '),
    ];
  });
}

/** What every further scan takes, from the medians of two lists. */
function rowsOfFurtherScans(short: ListRuns, long: ListRuns): (string | null)[][] {
  const more = long.scans - short.scans;
  const further = (k: number, value: (run: Run) => number): number =>
    (middle(long.runs[k]!, value) - middle(short.runs[k]!, value)) / more;
  return KINDS.map(({ name }, k) => [
    'one more',
    name,
    further(k, wallOf).toFixed(2),
    null,
    further(k, ({ user }) => user).toFixed(2),
    further(k, ({ system }) => system).toFixed(2),
    null,
    ...rates(k, further(k, wallOf)),
    (further(0, wallOf) / further(k, wallOf)).toFixed(2),
    null,
  ]);
}

/** Scans a minute, and a minute and core; one worker alone has no core of its own. */
function rates(kind: number, secondsPerScan: number): [string, string | null] {
  const { jobs, oneCore } = KINDS[kind]!;
  const perMinute = 60 / secondsPerScan;
  const cores = oneCore ? 1 : Math.min(jobs, availableParallelism());
  return [perMinute.toFixed(0), oneCore || jobs > 1 ? (perMinute / cores).toFixed(0) : null];
}

function tableOf(lists: readonly ListRuns[]): string {
  const byLength = lists.toSorted((a, b) => a.scans - b.scans);
  const [short, long] = [byLength[0]!, byLength.at(-1)!];
  const rows = [
    ...lists.flatMap(rowsOfList),
    ...(short.scans < long.scans ? rowsOfFurtherScans(short, long) : []),
  ];
  const header = columns(
    'scans',
    '<by',
    'median s',
    'least to most',
    'user s',
    'system s',
    'peak MB',
    'scans a minute',
    'and core',
    'one / this',
    '<of every run',
  );
  return textTable(header, rows);
}

const program = new Command('bench:batch');
program
  .option('--scans <list>', 'rows of the lists, separated by commas', '24,72')
  .option('--runs <n>', 'runs of every kind', '3')
  .option('--json <file>', 'where the figures go', '.artefacts/bench-batch.json')
  .action((given: { scans: string; runs: string; json: string }) => {
    const loadBefore = loadAverage();
    const report = {
      date: new Date().toISOString().slice(0, 10),
      machine: machineFacts(),
      loadBefore,
      kinds: KINDS,
      lists: timeLists(given.scans.split(',').map(Number), Number(given.runs)),
    };
    mkdirSync(dirname(given.json), { recursive: true });
    writeFileSync(given.json, `${JSON.stringify(report, null, 2)}\n`);
    const text = `${report.machine}; ${report.date}; load before ${loadBefore}; runs of every kind: ${given.runs}\n\n${tableOf(report.lists)}\n`;
    writeFileSync(besideJson(given.json), text);
    process.stdout.write(text);
  });
await program.parseAsync();
