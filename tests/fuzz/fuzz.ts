import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import type { FuzzTarget } from './fuzz-target.ts';
import { largeTargets } from './large-targets.ts';
import { FUZZ_TARGETS } from './targets.ts';
import { makeMutant, tryInput } from './try-mutant.ts';

/**
 * `npm run fuzz -- --minutes N [--seed S] [--target NAME] [--large]`: mutated inputs for everything that reads bytes,
 * one target after the other in rounds, in a worker that is watched from outside. A finding is a fault that is no
 * typed refusal, an unsound result, an input that takes more than 5 s of processor time, or one that takes memory beyond 10 times its
 * size. Each is written to `.artefacts/fuzz/`; the exit status is 1 when there was one.
 *
 * Small inputs are watched for jumps of the process's peak memory. With `--large` (scans of megabytes) the memory of
 * every single input is measured: garbage collected, the kernel's peak reset, the input read, the peak taken (Linux).
 * An input above the limit is read again: what it needs it needs every time, what the engine does once (compiling a
 * function that has become hot takes megabytes) it does not.
 */

const HANG_SECONDS = 5;
const LONGEST_WAIT_SECONDS = 60;
const ROUND = 2000;
const LARGE_ROUND = 20;
/** Memory that an input may take: ten times its size, and what a garbage collector leaves lying. */
const MEMORY_FACTOR = 10;
const MEMORY_SLACK_KB = 64 * 1024;
/** Where every input is measured, the engine's own (a young generation of objects) stays below this for any of them. */
const MEASURED_LEAST_KB = 8 * 1024;
/** How often an input is read that seems to take too much; the least counts. */
const MOST_READINGS = 4;
/** From this size on an input's memory over its size is told; below, the engine's own is most of it. */
const TOLD_FROM_BYTES = 1e6;
/**
 * The C library otherwise keeps freed memory for the next input, which then seems to take none; with these every large
 * block comes from the kernel and goes back to it. mallopt(3).
 */
const GIVING_BACK = { MALLOC_MMAP_THRESHOLD_: '65536', MALLOC_TRIM_THRESHOLD_: '65536' } as const;
const FOLDER = '.artefacts/fuzz';

interface Task {
  readonly target: number;
  readonly seed: number;
  readonly from: number;
  readonly to: number;
}

type Report =
  | { readonly kind: 'finding'; readonly target: number; readonly serial: number; readonly why: string }
  | { readonly kind: 'done'; readonly codes: ReadonlyMap<string, number>; readonly most: number | null };

/** What the worker works on now, for the watcher: serial and the second it began. */
const SERIAL = 0;
const SINCE = 1;

interface WorkerData {
  readonly clock: Int32Array;
  readonly large: boolean;
}

function work({ clock, large }: WorkerData): void {
  const port = parentPort!;
  const targets = large ? largeTargets() : FUZZ_TARGETS;
  port.on('message', async ({ target: index, seed, from, to }: Task) => {
    const target = targets[index]!;
    const codes = new Map<string, number>();
    const memory = large ? measuredMemory() : watchedMemory();
    let most = 0;
    for (let serial = from; serial < to; serial++) {
      const mutant = makeMutant(target, seed, serial);
      const say = (why: string) =>
        port.postMessage({ kind: 'finding', target: index, serial, why } satisfies Report);
      const size = mutant.bytes.length;
      const mostKb = memory.mostKb((MEMORY_FACTOR * size) / 1024);
      let kb = Number.POSITIVE_INFINITY;
      for (let reading = 0; kb > mostKb && reading < (large ? MOST_READINGS : 1); reading++) {
        memory.before();
        Atomics.store(clock, SERIAL, serial);
        Atomics.store(clock, SINCE, now());
        try {
          const outcome = await tryInput(target, mutant);
          if (reading === 0) codes.set(outcome, (codes.get(outcome) ?? 0) + 1);
        } catch (error) {
          if (reading === 0) say(String(error));
        }
        Atomics.store(clock, SINCE, 0);
        kb = Math.min(kb, memory.takenKb());
      }
      if (size >= TOLD_FROM_BYTES) most = Math.max(most, (1024 * kb) / size);
      if (kb > mostKb) say(`took ${Math.round(kb / 1024)} MB for ${size} bytes`);
    }
    port.postMessage({ kind: 'done', codes, most: large ? most : null } satisfies Report);
  });
}

interface Memory {
  /** What may be taken where ten times the input are `kb`. */
  mostKb(kb: number): number;
  before(): void;
  /** What was taken since {@link before}. */
  takenKb(): number;
}

/** Jumps of the peak of the whole process: what many small inputs leave lying is no jump. */
function watchedMemory(): Memory {
  let peakKb = process.resourceUsage().maxRSS;
  return {
    mostKb: (kb) => kb + MEMORY_SLACK_KB,
    before: () => {},
    takenKb: () => {
      const before = peakKb;
      peakKb = process.resourceUsage().maxRSS;
      return peakKb - before;
    },
  };
}

/** The peak of this one input over what the process held before it; proc(5) for `clear_refs` and `VmHWM`. */
function measuredMemory(): Memory {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  const status = (name: string) =>
    Number(new RegExp(`${name}:\\s+(\\d+) kB`).exec(readFileSync('/proc/self/status', 'utf8'))?.[1]);
  let beforeKb = 0;
  return {
    mostKb: (kb) => Math.max(kb, MEASURED_LEAST_KB),
    before: () => {
      collect();
      writeFileSync('/proc/self/clear_refs', '5');
      beforeKb = status('VmRSS');
    },
    takenKb: () => status('VmHWM') - beforeKb,
  };
}

const now = (): number => Math.round(performance.timeOrigin / 1000 + performance.now() / 1000);

function keep(target: FuzzTarget, seed: number, serial: number, why: string): void {
  const { name } = target;
  const { bytes, fileName } = makeMutant(target, seed, serial);
  const hash = createHash('sha256').update(bytes).digest('hex').slice(0, 12);
  mkdirSync(FOLDER, { recursive: true });
  const path = `${FOLDER}/${name.replaceAll(/\W+/g, '-')}--${hash}.bin`;
  writeFileSync(path, bytes);
  console.log(`FINDING ${name}, seed ${seed}, mutant ${serial} as "${fileName}": ${why}\n  kept as ${path}`);
}

function startWorker(clock: Int32Array, large: boolean): Worker {
  return new Worker(fileURLToPath(import.meta.url), {
    workerData: { clock, large } satisfies WorkerData,
    // Where memory is measured, the engine's nursery is kept small: what it lets lie there is not the reader's.
    resourceLimits: { maxOldGenerationSizeMb: 1024, ...(large ? { maxYoungGenerationSizeMb: 2 } : {}) },
  });
}

interface Tally {
  /** Inputs by outcome. */
  readonly codes: Map<string, number>;
  /** Most memory of an input over its size; null where that is not measured. */
  most: number | null;
}

/** One round in the worker; null when the worker had to be ended. */
function runRound(
  worker: Worker,
  clock: Int32Array,
  task: Task,
  found: (serial: number, why: string) => void,
): Promise<Omit<Extract<Report, { kind: 'done' }>, 'kind'> | null> {
  return new Promise((resolve) => {
    const finish = (done: Omit<Extract<Report, { kind: 'done' }>, 'kind'> | null) => {
      clearInterval(watch);
      worker.off('message', onMessage);
      worker.off('error', onError);
      resolve(done);
    };
    let seen = { since: 0, serial: -1, cpu: process.cpuUsage() };
    const watch = setInterval(() => {
      const [since, serial] = [Atomics.load(clock, SINCE), Atomics.load(clock, SERIAL)];
      if (since === 0) return;
      if (seen.since !== since || seen.serial !== serial) {
        seen = { since, serial, cpu: process.cpuUsage() };
        return;
      }
      // Processor time, so that a busy machine does not make a hang; waiting for ever is one, too.
      const { user, system } = process.cpuUsage(seen.cpu);
      const isHang = (user + system) / 1e6 > HANG_SECONDS || now() - since > LONGEST_WAIT_SECONDS;
      if (!isHang) return;
      found(serial, `no answer after ${HANG_SECONDS} s`);
      void worker.terminate();
      finish(null);
    }, 500);
    const onMessage = (report: Report) => {
      if (report.kind === 'finding') found(report.serial, report.why);
      else finish(report);
    };
    const onError = (error: unknown) => {
      found(Atomics.load(clock, SERIAL), `ended the process: ${String(error)}`);
      finish(null);
    };
    worker.on('message', onMessage);
    worker.on('error', onError);
    worker.postMessage(task);
  });
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      minutes: { type: 'string', default: '1' },
      seed: { type: 'string', default: String(Date.now() % 1_000_000) },
      target: { type: 'string' },
      large: { type: 'boolean', default: false },
    },
  });
  const [minutes, seed] = [Number(values.minutes), Number(values.seed)];
  const all = values.large ? largeTargets() : FUZZ_TARGETS;
  const chosen = all.flatMap(({ name }, k) =>
    values.target === undefined || name === values.target ? [k] : [],
  );
  if (!(minutes > 0) || !Number.isInteger(seed) || chosen.length === 0) {
    console.error(`--minutes N, --seed WHOLE, --target one of: ${all.map(({ name }) => name).join('; ')}`);
    process.exit(2);
  }
  if (values.large && process.env.MALLOC_MMAP_THRESHOLD_ === undefined) {
    const again = spawnSync(process.execPath, process.argv.slice(1), {
      stdio: 'inherit',
      env: { ...process.env, ...GIVING_BACK },
    });
    process.exit(again.status ?? 1);
  }
  const clock = new Int32Array(new SharedArrayBuffer(8));
  const end = Date.now() + minutes * 60_000;
  const tallies = all.map((): Tally => ({ codes: new Map(), most: null }));
  let worker = startWorker(clock, values.large);
  let findings = 0;
  for (let round = 0; Date.now() < end; round++) {
    for (const index of chosen) {
      if (Date.now() >= end) break;
      const target = all[index]!;
      const size = Math.ceil((values.large ? LARGE_ROUND : ROUND) * (target.share ?? 1));
      const task = { target: index, seed, from: round * size, to: (round + 1) * size };
      const done = await runRound(worker, clock, task, (serial, why) => {
        findings++;
        keep(target, seed, serial, why);
      });
      if (done === null) worker = startWorker(clock, values.large);
      else addTo(tallies[index]!, done);
    }
  }
  await worker.terminate();
  summarise(all, seed, tallies, findings);
  process.exit(findings === 0 ? 0 : 1);
}

function addTo(
  tally: Tally,
  { codes, most }: { codes: ReadonlyMap<string, number>; most: number | null },
): void {
  for (const [code, count] of codes) tally.codes.set(code, (tally.codes.get(code) ?? 0) + count);
  if (most !== null) tally.most = Math.max(tally.most ?? 0, most);
}

function summarise(
  targets: readonly FuzzTarget[],
  seed: number,
  tallies: readonly Tally[],
  findings: number,
): void {
  let total = 0;
  for (const [k, { codes, most }] of tallies.entries()) {
    const count = [...codes.values()].reduce((sum, n) => sum + n, 0);
    total += count;
    if (count === 0) continue;
    const memory = most === null ? '' : `, at most ${most.toFixed(1)} times the file in memory`;
    console.log(
      `${targets[k]!.name}: ${count} inputs, ${codes.get('read') ?? 0} read, ${codes.size} outcomes${memory}`,
    );
  }
  console.log(`${total} inputs, seed ${seed}, ${findings} findings`);
}

if (isMainThread) await main();
else work(workerData as WorkerData);
