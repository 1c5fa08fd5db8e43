import { describe, expect, it } from 'vitest';
import type { RowOutcome, RowTask } from '../../src/cli/batch-row-types.ts';
import { runRows } from '../../src/cli/run-rows.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/contacts/settings.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const task = (name: string): RowTask => ({
  name,
  scan: { told: `${name}.ply`, places: [`/here/${name}.ply`] },
  clicks: { told: `${name}.json`, places: [`/here/${name}.json`] },
  jaw: null,
  fault: null,
  folder: `/here/out/rows/${name}`,
  settings: { measure: DEFAULT_MEASURE_SETTINGS, unit: null, numbering: 'iso' },
});
const TASKS = ['a', 'b', 'c', 'd', 'e'].map(task);

/** A world whose threads only note what they were given. */
function worldOf(run: (task: RowTask) => Promise<RowOutcome>) {
  const { io } = makeMemoryWorld({});
  let running = 0;
  const seen = { most: 0, started: 0, stopped: 0, names: [] as string[], full: [] as boolean[] };
  const startWorker = (coresAreFull: boolean) => {
    seen.started += 1;
    seen.full.push(coresAreFull);
    return {
      run: async (one: RowTask) => {
        running += 1;
        seen.most = Math.max(seen.most, running);
        seen.names.push(one.name);
        await new Promise((resolve) => setTimeout(resolve, 2));
        running -= 1;
        return run(one);
      },
      stop: async () => {
        seen.stopped += 1;
      },
    };
  };
  return { io: { ...io, startWorker } as typeof io, seen };
}

describe('runRows', () => {
  it('gives every row to a thread once, never more at a time than asked for', async () => {
    const { io, seen } = worldOf(async () => ({ kind: 'measured' }));
    const told: RowOutcome[] = [];
    await runRows(TASKS, 2, io, (outcome) => told.push(outcome));
    expect(seen.names.toSorted()).toEqual(['a', 'b', 'c', 'd', 'e']);
    expect([seen.most, seen.started, seen.stopped]).toEqual([2, 2, 2]);
    expect(told).toHaveLength(5);
  });

  it('starts no more threads than there are rows', async () => {
    const { io, seen } = worldOf(async () => ({ kind: 'kept' }));
    await runRows(TASKS.slice(0, 1), 8, io, () => {});
    expect(seen.started).toBe(1);
  });

  it.each([
    [1, 5, [false]],
    [2, 5, [true, true]],
    [3, 5, [true, true, true]],
    [8, 1, [false]],
  ])(
    'tells threads whether every one of two cores has one: %i asked for, %i rows',
    async (jobs, rows, full) => {
      const { io, seen } = worldOf(async () => ({ kind: 'kept' }));
      await runRows(TASKS.slice(0, rows), jobs, { ...io, cores: 2 }, () => {});
      expect(seen.full).toEqual(full);
    },
  );

  it('goes on after a thread was lost, and says so in the row', async () => {
    const { io } = worldOf(async ({ name }) => {
      if (name === 'b') throw new Error('out of memory');
      return { kind: 'measured' };
    });
    const told: RowOutcome[] = [];
    await runRows(TASKS, 1, io, (outcome) => told.push(outcome));
    expect(told.map(({ kind }) => kind)).toEqual(['measured', 'failed', 'measured', 'measured', 'measured']);
    const lost = told[1]!;
    expect(lost.kind === 'failed' && lost.fault.code).toBe('THREAD_LOST');
  });
});
