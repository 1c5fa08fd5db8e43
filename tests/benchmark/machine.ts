import { readFileSync } from 'node:fs';
import { cpus, totalmem } from 'node:os';

/** The machine in a few words: figures from different ones are not compared. */
export function machineFacts(): string {
  const { model } = cpus()[0]!;
  return `${model}, ${cpus().length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GB, Node ${process.version}`;
}

/** Mean number of processes that ran in the last minute: beside other work only ratios mean something. */
export function loadAverage(): number {
  return Number(readFileSync('/proc/loadavg', 'utf8').split(' ')[0]);
}

/** The file beside the figures that holds the table, ready for docs/performance.md. */
export function besideJson(path: string): string {
  return `${path.replace(/\.json$/, '')}.md`;
}

/**
 * Highest resident memory of a process so far, MB: `VmHWM` of proc(5), Linux only. (getrusage(2) would begin with what
 * the parent had when it forked.)
 */
export function peakMemoryMb(pid: number | 'self'): number {
  const kB = /VmHWM:\s*(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1];
  if (kB === undefined) throw new Error(`Found no peak of memory of process ${pid}.`);
  return Number(kB) / 1024;
}
