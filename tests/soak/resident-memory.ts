import { readdirSync, readFileSync } from 'node:fs';

/** What the process holds in memory now by proc(5), MB; null when it is gone. */
export function residentMb(pid: number | undefined): number | null {
  try {
    const found = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
    return found ? Number(found[1]) / 1024 : null;
  } catch {
    return null;
  }
}

/** As {@link residentMb}, of the process and all that it started. */
export function treeMb(pid: number | undefined): number | null {
  const own = residentMb(pid);
  if (own === null) return null;
  return childrenOf(pid).reduce((sum, child) => sum + (treeMb(child) ?? 0), own);
}

function childrenOf(pid: number | undefined): number[] {
  try {
    return readdirSync(`/proc/${pid}/task`).flatMap((task) =>
      readFileSync(`/proc/${pid}/task/${task}/children`, 'utf8').split(' ').filter(Boolean).map(Number),
    );
  } catch {
    return [];
  }
}
