import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Command } from 'commander';
import { columns, textTable } from '../../evaluation/text-table.ts';
import { besideJson, loadAverage, machineFacts, peakMemoryMb } from '../machine.ts';
import { CONTESTS, type Contest, type Track } from './contestants.ts';
import { writeRaceFiles } from './race-files.ts';

/*
 * npm run race -- [--laps N] [--rounds N] [--only load,ply,teeth,spheres] [--json FILE] [--python python3]
 *
 * The same work by this project and by general-purpose libraries, on the same files, in turns in one run; the first
 * laps of each turn (code not compiled yet) are left out. Ratios are those of the least times, which other work on the
 * machine disturbs least. VTK and CGAL take part where Debian's packages
 * python3-vtk9, g++, libcgal-dev, libgmp-dev and libmpfr-dev are installed; else a dash. Ratios mean something on any
 * machine, times do not. Nothing is asserted.
 */

interface Turn {
  readonly times: readonly number[];
  readonly found: number;
  /** null = the work is done by another program, which does not tell. */
  readonly peakMb: number | null;
}

interface Result {
  readonly medianMs: number;
  readonly leastMs: number;
  readonly mostMs: number;
  readonly found: number;
  readonly peakMb: number | null;
}

/** Contestants that are programs of their own. */
const OUTSIDE = new Set(['VTK', 'CGAL']);

/** Laps that are run and not counted. */
const WARM_UP_LAPS = 2;

/** Every contestant runs in a process of its own, so that memory and garbage are its own. */
function inChild(contest: string, contestant: string, laps: number, track: Track): Turn | null {
  const self = fileURLToPath(import.meta.url);
  const args = [
    '--max-old-space-size=8192',
    self,
    'one',
    contest,
    contestant,
    `${laps}`,
    JSON.stringify(track),
  ];
  const done = spawnSync(process.execPath, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });
  if (done.status !== 0) throw new Error(`${contestant} of ${contest} ended with status ${done.status}.`);
  return JSON.parse(done.stdout) as Turn | null;
}

async function race(contest: string, contestant: string, laps: number, track: Track): Promise<Turn | null> {
  const run = await CONTESTS[contest]!.contestants[contestant]!(track);
  if (run === null) return null;
  for (let lap = 0; lap < WARM_UP_LAPS; lap++) run();
  const taken = Array.from({ length: laps }, run);
  return {
    times: taken.map(({ ms }) => ms),
    found: taken[0]!.found,
    peakMb: OUTSIDE.has(contestant) ? null : peakMemoryMb('self'),
  };
}

function resultOf(turns: readonly (Turn | null)[]): Result | null {
  const done = turns.filter((turn) => turn !== null);
  if (done.length === 0) return null;
  const times = done.flatMap((turn) => turn.times).toSorted((a, b) => a - b);
  return {
    medianMs: times[times.length >> 1]!,
    leastMs: times[0]!,
    mostMs: times.at(-1)!,
    found: done[0]!.found,
    peakMb: done.some(({ peakMb }) => peakMb === null)
      ? null
      : Math.max(...done.map(({ peakMb }) => peakMb!)),
  };
}

/** All contestants of one contest, in turns. */
function raceAll(name: string, laps: number, rounds: number, track: Track): Map<string, Result | null> {
  const names = Object.keys(CONTESTS[name]!.contestants);
  const turns = Array.from({ length: rounds }, () =>
    names.map((contestant) => inChild(name, contestant, laps, track)),
  );
  return new Map(names.map((contestant, i) => [contestant, resultOf(turns.map((turn) => turn[i]!))]));
}

function tableOf(
  { contestants, goals, finds }: Contest,
  results: ReadonlyMap<string, Result | null>,
): string {
  const ours = results.get('ours') ?? null;
  const rows = Object.keys(contestants).map((name) => {
    const found = results.get(name) ?? null;
    const ratio = ours === null || found === null || name === 'ours' ? null : ours.leastMs / found.leastMs;
    const goal = goals[name];
    const decimals = finds === 'mm' ? 6 : 0;
    const told = (text: (result: Result) => string): string | null => (found === null ? null : text(found));
    return [
      name,
      told(({ leastMs }) => leastMs.toFixed(1)),
      told(({ medianMs, mostMs }) => `${medianMs.toFixed(1)} to ${mostMs.toFixed(1)}`),
      found?.peakMb?.toFixed(0) ?? null,
      told((result) => result.found.toFixed(decimals)),
      ratio === null ? null : ratio.toFixed(2),
      goal === undefined ? null : `${goal}`,
    ];
  });
  return textTable(
    columns('<by', 'least ms', 'median to most', 'peak MB', finds, 'ours / theirs', 'goal'),
    rows,
  );
}

/** Builds the program that measures with CGAL; null, with a word why, where that is not possible. */
function builtCgal(folder: string): string | null {
  const program = join(folder, 'mesh-distance');
  const source = 'tests/reference/oracle/mesh-distance.cpp';
  const args = ['-O3', '-march=native', '-std=c++17', source, '-o', program, '-lgmp', '-lmpfr'];
  const { status } = spawnSync('g++', args, { stdio: 'ignore' });
  if (status === 0) return program;
  process.stderr.write('CGAL does not take part: mesh-distance.cpp could not be built here.\n');
  return null;
}

interface RaceOptions {
  readonly laps: string;
  readonly rounds: string;
  readonly only?: string;
  readonly python: string;
  readonly json: string;
}

const program = new Command('race');
program
  .option('--laps <n>', 'laps of every contestant in each round', '5')
  .option('--rounds <n>', 'how often everyone has a turn', '3')
  .option('--only <contests>', 'comma between them; all when left out')
  .option('--python <command>', 'a Python that has VTK', 'python3')
  .option('--json <file>', 'where the figures go', '.artefacts/race.json')
  .action(async ({ laps, rounds, only, python, json }: RaceOptions) => {
    const folder = mkdtempSync(join(tmpdir(), 'race-'));
    try {
      const loadBefore = loadAverage();
      await writeRaceFiles(folder);
      const track: Track = { folder, python, cgal: builtCgal(folder) };
      const machine = machineFacts();
      const date = new Date().toISOString().slice(0, 10);
      const text = [`${machine}; ${date}; load before ${loadBefore}`];
      const told: Record<string, Record<string, Result | null>> = {};
      for (const [name, contest] of Object.entries(CONTESTS)) {
        if (only !== undefined && !only.split(',').includes(name)) continue;
        const results = raceAll(name, Number(laps), Number(rounds), track);
        told[name] = Object.fromEntries(results);
        text.push(`**${contest.title}**`, tableOf(contest, results));
      }
      mkdirSync(dirname(json), { recursive: true });
      writeFileSync(json, `${JSON.stringify({ date, machine, loadBefore, contests: told }, null, 2)}\n`);
      writeFileSync(besideJson(json), `${text.join('\n\n')}\n`);
      process.stdout.write(`${text.join('\n\n')}\n`);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
program
  .command('one <contest> <contestant> <laps> <track>', { hidden: true })
  .action(async (contest: string, contestant: string, laps: string, track: string) => {
    const result = await race(contest, contestant, Number(laps), JSON.parse(track) as Track);
    process.stdout.write(JSON.stringify(result), () => process.exit(0));
  });
await program.parseAsync();
