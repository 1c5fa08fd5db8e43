import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { Command } from 'commander';
import { columns, textTable } from '../evaluation/text-table.ts';
import { archFiles } from './arch-files.ts';
import { besideJson, loadAverage, machineFacts } from './machine.ts';
import { readUse, summary, type Taken, TELLER, type Timing } from './taken.ts';

/*
 * npm run bench:batch -- [--scans 24,72] [--runs 2] [--json FILE]
 *
 * Lists of the same arch over and over through the built command line: one worker, one worker held to one core (what
 * one core does when the engine's own threads may not use the others; Linux), and two. The kinds take turns, so that
 * other work on the machine disturbs all alike. Nothing is asserted.
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

interface KindResult extends Timing {
  readonly scansAMinute: number;
  /** The time of one worker over this one, least times. */
  readonly ratio: number;
}

const PROGRAM = 'dist-cli/archgap.js';

function runOnce({ name, jobs, oneCore }: Kind, list: string, out: string): Taken {
  rmSync(out, { recursive: true, force: true });
  const node = [
    process.execPath,
    '--import',
    TELLER,
    PROGRAM,
    'batch',
    list,
    '--out',
    out,
    '--jobs',
    `${jobs}`,
  ];
  const [program, ...args] = oneCore ? ['taskset', '--cpu-list', '0', ...node] : node;
  const start = performance.now();
  const { status, stderr, error } = spawnSync(program!, args, { encoding: 'utf8' });
  const wall = performance.now() - start;
  if (error || status !== 0)
    throw new Error(`${name} ended with ${error?.message ?? `status ${status}`}: ${stderr}`);
  return { wall, cpu: readUse(stderr).cpu };
}

/** A list of so many rows, all of them the one arch. */
function writeList(folder: string, scans: number): string {
  const { scan, clicks } = archFiles();
  const rows = Array.from({ length: scans }, (_, k) => `${resolve(scan)},${resolve(clicks)},arch-${k + 1}`);
  const path = join(folder, 'list.csv');
  writeFileSync(path, `scan,clicks,id\n${rows.join('\n')}\n`);
  return path;
}

interface ListResult {
  readonly scans: number;
  readonly kinds: readonly KindResult[];
}

function timeList(scans: number, runs: number): ListResult {
  const folder = mkdtempSync(join(tmpdir(), 'archgap-batch-'));
  const taken = KINDS.map((): Taken[] => []);
  try {
    const list = writeList(folder, scans);
    for (let run = 0; run < runs; run++) {
      for (const [k, kind] of KINDS.entries()) {
        const one = runOnce(kind, list, join(folder, 'out'));
        process.stderr.write(`${scans} scans, ${kind.name}: ${(one.wall / 1000).toFixed(1)} s\n`);
        taken[k]!.push(one);
      }
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
  const times = KINDS.map(({ name }, k) => summary(name, taken[k]!));
  const kinds = times.map((timing) => ({
    ...timing,
    scansAMinute: (60_000 * scans) / timing.leastMs,
    ratio: times[0]!.leastMs / timing.leastMs,
  }));
  return { scans, kinds };
}

function tableOf(lists: readonly ListResult[]): string {
  const seconds = (ms: number): string => (ms / 1000).toFixed(1);
  const rows = lists.flatMap(({ scans, kinds }) =>
    kinds.map((kind) => [
      `${scans}`,
      kind.name,
      seconds(kind.leastMs),
      seconds(kind.medianMs),
      seconds(kind.cpuMs),
      kind.scansAMinute.toFixed(0),
      kind.ratio.toFixed(2),
    ]),
  );
  const header = columns(
    'scans',
    '<by',
    'least s',
    'median s',
    'processor s',
    'scans a minute',
    'one / this',
  );
  return textTable(header, rows);
}

const program = new Command('bench:batch');
program
  .option('--scans <list>', 'rows of the lists, separated by commas', '24,72')
  .option('--runs <n>', 'runs of every kind', '2')
  .option('--json <file>', 'where the figures go', '.artefacts/bench-batch.json')
  .action((given: { scans: string; runs: string; json: string }) => {
    const loadBefore = loadAverage();
    const report = {
      date: new Date().toISOString().slice(0, 10),
      machine: machineFacts(),
      loadBefore,
      lists: given.scans.split(',').map((scans) => timeList(Number(scans), Number(given.runs))),
    };
    mkdirSync(dirname(given.json), { recursive: true });
    writeFileSync(given.json, `${JSON.stringify(report, null, 2)}\n`);
    const text = `${report.machine}; ${report.date}; load before ${loadBefore}\n\n${tableOf(report.lists)}\n`;
    writeFileSync(besideJson(given.json), text);
    process.stdout.write(text);
  });
await program.parseAsync();
