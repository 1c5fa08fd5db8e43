import { readFileSync } from 'node:fs';
import { writePly } from '../../fixtures/write-ply.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { openReader, readScan } from '../../src/scan/read-scan.ts';
import { makeAnalysisService } from '../../workers/analysis-service.ts';
import { type ArchFiles, archMesh } from './arch-files.ts';
import { peakMemoryMb } from './machine.ts';
import { summary, type Taken, type Timing, take } from './taken.ts';

/** Everything measured at one size, in a process of its own. */
export interface SizeResult {
  readonly triangles: number;
  readonly stlBytes: number;
  readonly timings: readonly Timing[];
  /** Highest resident memory of the process, MB, the benchmark's own copies of the files among it. */
  readonly peakMb: number;
}

async function time(name: string, runs: number, work: () => unknown): Promise<Timing> {
  const taken: Taken[] = [];
  for (let run = 0; run < runs; run++) taken.push(await take(work));
  return summary(name, taken);
}

/** A user takes longer than this to pick a file, and again to the first click. */
const PAUSE_MS = 2000;

const pause = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, PAUSE_MS));

const port = (): MessagePort => new MessageChannel().port2;

/**
 * Times all stages on one arch; clicks go through the worker's own service, with its pauses and copies.
 *
 * @param triangles - how many the arch is to have; null = the file as it is
 */
export async function timeStages(
  files: ArchFiles,
  triangles: number | null,
  runs: number,
): Promise<SizeResult> {
  const mesh = await archMesh(files, triangles);
  const stl = writeBinaryStl(mesh);
  const ply = writePly(mesh);
  const stlFile = { fileName: 'arch.stl' };
  const timings = [
    await time('STL: parse', runs, () => runAtOnce(openReader(stl, 'arch.stl'))),
    await time('PLY: parse', runs, () => runAtOnce(openReader(ply, 'arch.ply'))),
    await time('STL to checked scan', runs, () => readScan(stl, stlFile)),
    await time('PLY to checked scan', runs, () => readScan(ply, { fileName: 'arch.ply' })),
  ];
  timings.push(...(await timeClicks(stl, readFileSync(files.clicks, 'utf8'), runs)));
  return {
    triangles: mesh.triangles.length / 3,
    stlBytes: stl.length,
    timings,
    peakMb: peakMemoryMb('self'),
  };
}

/**
 * The first click on a scan that has just been opened, in a process that has done nothing else but what the worker does
 * on its own from the first sign of a user on: it rehearses on a sheet of its own until the scan comes. The practice
 * on the scan itself, which follows its opening, has not begun.
 */
export async function timeClickAtOnce(files: ArchFiles, triangles: number | null): Promise<Timing[]> {
  const stl = writeBinaryStl(await archMesh(files, triangles));
  const service = makeAnalysisService((reply) => reply, true);
  await pause();
  const { scanId } = await service.openScan(stl, { fileName: 'arch.stl', unit: null }, port());
  const set = await service.readClicks(scanId, readFileSync(files.clicks, 'utf8'));
  const first = { ...set, clicks: set.clicks.slice(0, 1) };
  return [
    await time('click at once after opening: first answer', 1, () => service.draft(scanId, first)),
    await time('click at once after opening: settled', 1, () => service.segment(scanId, first, port())),
  ];
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
  // The worker practises meanwhile. Any call would end that.
  await pause();
  const set = await service.readClicks(scanId, clickText);
  const first = (n: number) => ({ ...set, clicks: set.clicks.slice(0, n) });
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
