import type { RepeatedMeasurements, RepeatedTarget } from './repeated-measurements.ts';

/** Whether occasions were measured on one scan: each target on one, some of its occasions on one, every one on its own. */
export type ScansShared = 'all' | 'some' | 'none';

/**
 * Whether targets were measured on one and the same scan each time. Then only the clicks can differ, and figures of
 * agreement say nothing of scanning.
 *
 * @param members - which occasions are compared; only targets with a number on all of them count
 * @returns null where it cannot be told: no column names the scans, a name is missing, or two mouths have one in common
 */
export function scansShared(data: RepeatedMeasurements, members: readonly number[]): ScansShared | null {
  const compared = data.targets.filter(({ values }) => members.every((k) => values[k] !== null));
  const scans = compared.map((target) => members.map((k) => target.scans[k] ?? null));
  if (data.scanColumn === null || scans.length === 0 || scans.some((row) => row.includes(null))) return null;
  if (data.scanColumn === 'scan' && !namesTellMouths(data)) return null;
  const counts = scans.map((row) => new Set(row).size);
  if (counts.every((count) => count === 1)) return 'all';
  return counts.some((count) => count < members.length) ? 'some' : 'none';
}

/** Names of files tell scans apart only where no two mouths have one in common. */
function namesTellMouths({ targetColumns, targets }: RepeatedMeasurements): boolean {
  const place = targetColumns.indexOf('id');
  if (place < 0) return true;
  const mouthOf = new Map<string, string>();
  return targets.every(({ levels, scans }: RepeatedTarget) => {
    const mouth = levels[place]!;
    const names = scans.filter((scan) => scan !== null);
    const own = names.every((name) => (mouthOf.get(name) ?? mouth) === mouth);
    for (const name of names) mouthOf.set(name, mouth);
    return own;
  });
}
