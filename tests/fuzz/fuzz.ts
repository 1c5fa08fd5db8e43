import { createHash } from 'node:crypto';
import { mkdirSync, writeFileSync } from 'node:fs';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { FUZZ_TARGETS } from './targets.ts';
import { makeMutant, tryInput } from './try-mutant.ts';

/**
 * `npm run fuzz -- --minutes N [--seed S] [--target NAME]`: mutated inputs for everything that reads bytes, one
 * target after the other in rounds, in a worker that is watched from outside. A finding is a fault that is no typed
 * refusal, an unsound result, an input that takes more than 5 s, or one that takes memory beyond 10 times its size.
 * Each is written to `.artefacts/fuzz/`; the exit status is 1 when there was one.
 */

const HANG_SECONDS = 5;
const ROUND = 2000;
/** Memory that an input may take: ten times its size, and what a garbage collector leaves lying. */
const MEMORY_FACTOR = 10;
const MEMORY_SLACK_KB = 64 * 1024;
const FOLDER = '.artefacts/fuzz';

interface Task {
  readonly target: number;
  readonly seed: number;
  readonly from: number;
  readonly to: number;
}

type Report =
  | { readonly kind: 'finding'; readonly target: number; readonly serial: number; readonly why: string }
  | { readonly kind: 'done'; readonly codes: ReadonlyMap<string, number> };

/** What the worker works on now, for the watcher: serial and the second it began. */
const SERIAL = 0;
const SINCE = 1;

function work(clock: Int32Array): void {
  const port = parentPort!;
  port.on('message', ({ target: index, seed, from, to }: Task) => {
    const target = FUZZ_TARGETS[index]!;
    const codes = new Map<string, number>();
    let peakKb = process.resourceUsage().maxRSS;
    for (let serial = from; serial < to; serial++) {
      Atomics.store(clock, SERIAL, serial);
      Atomics.store(clock, SINCE, now());
      const mutant = makeMutant(target, seed, serial);
      const say = (why: string) =>
        port.postMessage({ kind: 'finding', target: index, serial, why } satisfies Report);
      try {
        const outcome = tryInput(target, mutant);
        codes.set(outcome, (codes.get(outcome) ?? 0) + 1);
      } catch (error) {
        say(String(error));
      }
      const kb = process.resourceUsage().maxRSS;
      // The first round of a process grows whatever it reads: only jumps of one input count.
      if (kb - peakKb > MEMORY_SLACK_KB + (MEMORY_FACTOR * mutant.bytes.length) / 1024) {
        say(`took ${Math.round((kb - peakKb) / 1024)} MB for ${mutant.bytes.length} bytes`);
      }
      peakKb = kb;
    }
    Atomics.store(clock, SINCE, 0);
    port.postMessage({ kind: 'done', codes } satisfies Report);
  });
}

const now = (): number => Math.round(performance.timeOrigin / 1000 + performance.now() / 1000);

function keep(target: number, seed: number, serial: number, why: string): void {
  const { name } = FUZZ_TARGETS[target]!;
  const { bytes, fileName } = makeMutant(FUZZ_TARGETS[target]!, seed, serial);
  const hash = createHash('sha256').update(bytes).digest('hex').slice(0, 12);
  mkdirSync(FOLDER, { recursive: true });
  const path = `${FOLDER}/${name.replaceAll(/\W+/g, '-')}--${hash}.bin`;
  writeFileSync(path, bytes);
  console.log(`FINDING ${name}, seed ${seed}, mutant ${serial} as "${fileName}": ${why}\n  kept as ${path}`);
}

function startWorker(clock: Int32Array): Worker {
  return new Worker(fileURLToPath(import.meta.url), {
    workerData: clock,
    resourceLimits: { maxOldGenerationSizeMb: 1024 },
  });
}

/** One round in the worker; resolves to the outcomes, or to null when the worker had to be ended. */
function runRound(
  worker: Worker,
  clock: Int32Array,
  task: Task,
  found: (serial: number, why: string) => void,
) {
  return new Promise<ReadonlyMap<string, number> | null>((resolve) => {
    const finish = (codes: ReadonlyMap<string, number> | null) => {
      clearInterval(watch);
      worker.off('message', onMessage);
      worker.off('error', onError);
      resolve(codes);
    };
    const watch = setInterval(() => {
      const since = Atomics.load(clock, SINCE);
      if (since === 0 || now() - since <= HANG_SECONDS) return;
      found(Atomics.load(clock, SERIAL), `no answer after ${HANG_SECONDS} s`);
      void worker.terminate();
      finish(null);
    }, 500);
    const onMessage = (report: Report) => {
      if (report.kind === 'finding') found(report.serial, report.why);
      else finish(report.codes);
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
    },
  });
  const [minutes, seed] = [Number(values.minutes), Number(values.seed)];
  const targets = FUZZ_TARGETS.flatMap(({ name }, k) =>
    values.target === undefined || name === values.target ? [k] : [],
  );
  if (!(minutes > 0) || !Number.isInteger(seed) || targets.length === 0) {
    console.error(
      `--minutes N, --seed WHOLE, --target one of: ${FUZZ_TARGETS.map(({ name }) => name).join('; ')}`,
    );
    process.exit(2);
  }
  const clock = new Int32Array(new SharedArrayBuffer(8));
  const end = Date.now() + minutes * 60_000;
  const tallies = FUZZ_TARGETS.map(() => new Map<string, number>());
  let worker = startWorker(clock);
  let findings = 0;
  for (let from = 0; Date.now() < end; from += ROUND) {
    for (const target of targets) {
      if (Date.now() >= end) break;
      const codes = await runRound(worker, clock, { target, seed, from, to: from + ROUND }, (serial, why) => {
        findings++;
        keep(target, seed, serial, why);
      });
      if (codes === null) worker = startWorker(clock);
      for (const [code, count] of codes ?? [])
        tallies[target]!.set(code, (tallies[target]!.get(code) ?? 0) + count);
    }
  }
  await worker.terminate();
  summarise(seed, tallies, findings);
  process.exit(findings === 0 ? 0 : 1);
}

function summarise(seed: number, tallies: readonly ReadonlyMap<string, number>[], findings: number): void {
  let total = 0;
  for (const [k, tally] of tallies.entries()) {
    const count = [...tally.values()].reduce((sum, n) => sum + n, 0);
    total += count;
    if (count === 0) continue;
    console.log(
      `${FUZZ_TARGETS[k]!.name}: ${count} inputs, ${tally.get('read') ?? 0} read, ${tally.size} outcomes`,
    );
  }
  console.log(`${total} inputs, seed ${seed}, ${findings} findings`);
}

if (isMainThread) await main();
else work(workerData as Int32Array);
