import { readFileSync } from 'node:fs';
import { writePly } from '../../fixtures/write-ply.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { openReader, readScan } from '../../src/scan/read-scan.ts';
import { makeAnalysisService } from '../../workers/analysis-service.ts';
import { type ArchFiles, archMesh } from './arch-files.ts';

/** Times of one piece of work, ms. */
export interface Timing {
  readonly name: string;
  /** The very first run: what a user meets whose engine has not compiled the code yet. */
  readonly firstMs: number;
  readonly medianMs: number;
  readonly leastMs: number;
  readonly mostMs: number;
  /** Median processor time, all threads of the process: what remains comparable on a machine with other work. */
  readonly cpuMs: number;
  readonly runs: number;
}

/** Everything measured at one size, in a process of its own. */
export interface SizeResult {
  readonly triangles: number;
  readonly stlBytes: number;
  readonly timings: readonly Timing[];
  /** Highest resident memory of the process, MB, the benchmark's own copies of the files among it. */
  readonly peakMb: number;
}

interface Taken {
  readonly wall: number;
  readonly cpu: number;
}

async function take(work: () => unknown): Promise<Taken> {
  const before = process.cpuUsage();
  const start = performance.now();
  await work();
  const wall = performance.now() - start;
  const { user, system } = process.cpuUsage(before);
  return { wall, cpu: (user + system) / 1000 };
}

async function time(name: string, runs: number, work: () => unknown): Promise<Timing> {
  const taken: Taken[] = [];
  for (let run = 0; run < runs; run++) taken.push(await take(work));
  return summary(name, taken);
}

const PAUSE_BEFORE_CLICK_MS = 2000;

const port = (): MessagePort => new MessageChannel().port2;

/**
 * Times all stages on one arch, finer by a factor of four per round; clicks go through the worker's own service, with
 * its pauses and copies.
 *
 * @param rounds - 0 = the file as it is
 * @param whole - false: reading only
 */
export async function timeStages(
  files: ArchFiles,
  rounds: number,
  runs: number,
  whole: boolean,
): Promise<SizeResult> {
  const mesh = await archMesh(files, rounds);
  const stl = writeBinaryStl(mesh);
  const ply = writePly(mesh);
  const stlFile = { fileName: 'arch.stl' };
  const timings = [
    await time('STL: parse', runs, () => runAtOnce(openReader(stl, 'arch.stl'))),
    await time('PLY: parse', runs, () => runAtOnce(openReader(ply, 'arch.ply'))),
    await time('STL to checked scan', runs, () => readScan(stl, stlFile)),
    await time('PLY to checked scan', runs, () => readScan(ply, { fileName: 'arch.ply' })),
  ];
  if (whole) timings.push(...(await timeClicks(stl, readFileSync(files.clicks, 'utf8'), runs)));
  return {
    triangles: mesh.triangles.length / 3,
    stlBytes: stl.length,
    timings,
    peakMb: process.resourceUsage().maxRSS / 1024,
  };
}

async function timeClicks(stl: Uint8Array, clickText: string, runs: number): Promise<Timing[]> {
  const service = makeAnalysisService((reply) => reply, true);
  const open = async () =>
    (await service.openScan(stl.slice(), { fileName: 'arch.stl', unit: null }, port())).scanId;
  const timings: Timing[] = [];
  let scanId = '';
  timings.push(
    await time('open in the worker', Math.min(runs, 3), async () => {
      if (scanId !== '') await service.close(scanId);
      scanId = await open();
    }),
  );
  const set = await service.readClicks(scanId, clickText);
  const first = (n: number) => ({ ...set, clicks: set.clicks.slice(0, n) });
  // A user takes longer than this to the first click; the worker practises meanwhile.
  await new Promise((resolve) => setTimeout(resolve, PAUSE_BEFORE_CLICK_MS));
  const click = (n: number) => async () => void (await service.draft(scanId, first(n)));
  timings.push(await time('first click: first answer', 1, click(1)));
  timings.push(await time('first click: settled', 1, () => service.segment(scanId, first(1), port())));
  const drafts: Taken[] = [];
  const settles: Taken[] = [];
  for (let n = 2; n <= set.clicks.length; n++) {
    drafts.push(await take(() => service.draft(scanId, first(n))));
    settles.push(await take(() => service.segment(scanId, first(n), port())));
  }
  timings.push(summary('further click: first answer', drafts), summary('further click: settled', settles));
  const fresh = makeAnalysisService((reply) => reply);
  let id = '';
  const wholes: Taken[] = [];
  for (let run = 0; run < runs; run++) {
    if (id !== '') await fresh.close(id);
    id = (await fresh.openScan(stl.slice(), { fileName: 'arch.stl', unit: null }, port())).scanId;
    wholes.push(await take(() => fresh.segment(id, set, port())));
  }
  timings.push(summary('whole arch from all clicks', wholes));
  const settings = { limitMm: 0.1 };
  let measured = await fresh.measure(id, set, settings, port());
  timings.push(
    await time('all contacts', runs, async () => {
      measured = await fresh.measure(id, set, settings, port());
    }),
  );
  timings.push(
    await time('plan', runs, () => fresh.plan(measured.analysis, DEFAULT_CLOSURE_SETTINGS)),
    await time('plan with sensitivity, on the moved crowns', Math.min(runs, 3), () =>
      fresh.completePlan(id, measured.analysis, DEFAULT_CLOSURE_SETTINGS, null, port()),
    ),
  );
  return timings;
}

function summary(name: string, taken: readonly Taken[]): Timing {
  const wall = taken.map((one) => one.wall).toSorted((a, b) => a - b);
  const cpu = taken.map((one) => one.cpu).toSorted((a, b) => a - b);
  return {
    name,
    firstMs: taken[0]!.wall,
    medianMs: wall[wall.length >> 1]!,
    leastMs: wall[0]!,
    mostMs: wall.at(-1)!,
    cpuMs: cpu[cpu.length >> 1]!,
    runs: taken.length,
  };
}
