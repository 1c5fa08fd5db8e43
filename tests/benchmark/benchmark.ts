import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Command } from 'commander';
import { columns, fixed, textTable } from '../evaluation/text-table.ts';
import { archFiles, SIZES } from './arch-files.ts';
import { besideJson, loadAverage, machineFacts } from './machine.ts';
import { type OwnUse, openAsWorker, ownUse } from './own-use.ts';
import { type SizeResult, timeClickAtOnce, timeStages } from './stages.ts';
import type { Timing } from './taken.ts';

/*
 * npm run bench -- [--runs N] [--large] [--json FILE]    times every stage at several sizes; nothing is asserted
 *
 * Each size runs in a process of its own, one after the other, so that memory peaks are its own and the first run of
 * each stage is a cold one.
 */

/** What a run leaves for docs/performance.md. */
export interface BenchReport {
  readonly date: string;
  readonly machine: string;
  readonly loadBefore: number;
  readonly arch: string;
  readonly sizes: readonly (SizeResult & { readonly own: OwnUse })[];
}

const SELF = fileURLToPath(import.meta.url);

/** One of this program's own commands on one size, in a process of its own. */
function inChild<T>(command: string, triangles: number | null, ...more: readonly string[]): T {
  const args = ['--max-old-space-size=8192', SELF, command, JSON.stringify(triangles), ...more];
  const done = spawnSync(process.execPath, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });
  if (done.status !== 0)
    throw new Error(`The benchmark of ${triangles ?? 'the plain arch'} ended with status ${done.status}.`);
  return JSON.parse(done.stdout) as T;
}

/** Exponent b of processor time = a n^b between the smallest and the largest size that have the stage. */
function growth(name: string, sizes: readonly SizeResult[]): number | null {
  const found = sizes.flatMap((size) => {
    const timing = size.timings.find((one) => one.name === name);
    return timing ? [{ n: size.triangles, ms: timing.cpuMs }] : [];
  });
  const [from, to] = [found[0], found.at(-1)];
  if (!from || !to || from === to) return null;
  return Math.log(to.ms / from.ms) / Math.log(to.n / from.n);
}

function tableOf({ sizes }: BenchReport): string {
  const names = [...new Set(sizes.flatMap((size) => size.timings.map((timing) => timing.name)))];
  const cell = (timing: Timing | undefined): string | null =>
    timing ? [timing.leastMs, timing.medianMs, timing.cpuMs].map((ms) => ms.toFixed(0)).join(' / ') : null;
  const header = columns(
    '<least / median / processor, ms',
    ...sizes.map((size) => `${size.triangles}`),
    'exponent',
  );
  const rows = names.map((name) => [
    name,
    ...sizes.map((size) => cell(size.timings.find((timing) => timing.name === name))),
    fixed(growth(name, sizes), 2),
  ]);
  const memory = sizes.map(({ stlBytes, own, peakMb }) => {
    const times = (mb: number): string => ((mb * 2 ** 20) / stlBytes).toFixed(1);
    const told = (mb: number): string => `${mb.toFixed(0)} (${times(mb)}, ${times(mb - own.nodeMb)})`;
    return [own.nodeMb.toFixed(0), told(own.openMb), told(own.inspectMb), told(own.measureMb), told(peakMb)];
  });
  const rowsOfMemory = [
    'Node that does nothing',
    'the worker opens the STL',
    '`archgap inspect`',
    '`archgap measure`',
    'this benchmark, with its copies',
  ].map((name, k) => [name, ...memory.map((told) => told[k]!)]);
  const memoryHeader = columns(
    '<highest resident memory, MB (times the STL, without Node)',
    ...sizes.map((size) => `${size.triangles}`),
  );
  return `${textTable(header, rows)}\n\n${textTable(memoryHeader, rowsOfMemory)}`;
}

const program = new Command('bench');
program
  .option('--runs <n>', 'runs of every stage', '5')
  .option('--large', 'also at five million triangles')
  .option('--json <file>', 'where the figures go', '.artefacts/bench.json')
  .action(async ({ runs, large, json }: { runs: string; large?: boolean; json: string }) => {
    const loadBefore = loadAverage();
    const { least, plain, million, most } = SIZES;
    const asked = [least, plain, million, ...(large ? [most] : [])];
    const sizes: BenchReport['sizes'][number][] = [];
    for (const triangles of asked) {
      const ownRuns = triangles === most ? Math.min(3, Number(runs)) : Number(runs);
      const timed = inChild<SizeResult>('one', triangles, `${ownRuns}`);
      const atOnce = inChild<Timing[]>('at-once', triangles);
      const own = await ownUse(SELF, archFiles(), triangles);
      sizes.push({ ...timed, timings: [...timed.timings, ...atOnce, ...own.timings], own });
    }
    const machine = machineFacts();
    const report: BenchReport = {
      date: new Date().toISOString().slice(0, 10),
      machine,
      loadBefore,
      arch: archFiles().scan,
      sizes,
    };
    mkdirSync(dirname(json), { recursive: true });
    writeFileSync(json, `${JSON.stringify(report, null, 2)}\n`);
    const text = `${machine}; ${report.date}; load before ${loadBefore}; ${report.arch}\n\n${tableOf(report)}\n`;
    writeFileSync(besideJson(json), text);
    process.stdout.write(text);
  });
program
  .command('one <triangles> <runs>', { hidden: true })
  .action(async (triangles: string, runs: string) => {
    const result = await timeStages(archFiles(), JSON.parse(triangles) as number | null, Number(runs));
    process.stdout.write(JSON.stringify(result), () => process.exit(0));
  });
program.command('at-once <triangles>', { hidden: true }).action(async (triangles: string) => {
  const timings = await timeClickAtOnce(archFiles(), JSON.parse(triangles) as number | null);
  process.stdout.write(JSON.stringify(timings), () => process.exit(0));
});
program.command('open <file>', { hidden: true }).action(async (file: string) => {
  await openAsWorker(file);
  process.exit(0);
});
await program.parseAsync();
