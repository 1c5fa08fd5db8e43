import { describe, expect, it, vi } from 'vitest';
import type { RowTask } from '../../src/cli/batch-row-types.ts';
import { checkParts } from '../../src/cli/check-parts.ts';
import { statedSettings, writeDoneRow, writeFailedRow } from '../../src/cli/row-record.ts';
import { sha256 } from '../../src/scan/sha256.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const SETTINGS = { measure: { limitMm: 0.1 }, unit: null, numbering: 'iso' } as const;
const STATED = statedSettings(SETTINGS);
const bytesOf = (text: string) => new TextEncoder().encode(text);

/** Every scan of the study is called scan.ply. */
const task = (name: string, path = `${name}/scan.ply`): RowTask => ({
  name,
  scan: { told: path, places: [`/here/${path}`] },
  clicks: { told: 'c.json', places: ['/here/c.json'] },
  jaw: null,
  fault: null,
  folder: `/here/all/results/${name}`,
  settings: SETTINGS,
});

/** The record of a row that was measured on a scan of these words. */
async function done(part: string, row: string, scan: string) {
  const bytes = bytesOf(scan);
  const record = writeDoneRow({
    row,
    software: { name: 'archgap', version: '1' },
    settings: STATED,
    inputs: {
      scan: { sha256: await sha256(bytes), bytes: bytes.length, file_name: 'scan.ply' },
      clicks: { sha256: 'bb', bytes: 1 },
    },
    facts: { jaw: 'upper', triangles: 1, median_edge_mm: 0.2, contacts: 1, with_number: 1, open: 0 },
    files: {},
  });
  return { [`${part}/results/${row}/row.json`]: record };
}

const check = (files: Record<string, Uint8Array>, parts: string[], tasks: RowTask[]) => {
  const world = makeMemoryWorld(files);
  const compared: number[] = [];
  return { world, compared, work: checkParts(parts, tasks, world.io, (count) => void compared.push(count)) };
};

describe('rows of two studies that are called alike, each of a scan of the same name', () => {
  it.each([
    [
      'as long',
      'anna.',
      'berta',
      /scan\.ply \(5 bytes, SHA-256 [0-9a-f]{12}…\), the list names scan\.ply \(5 bytes, SHA-256 [0-9a-f]{12}…\)/,
    ],
    [
      'longer',
      'anna',
      'berta',
      /scan\.ply \(4 bytes, SHA-256 [0-9a-f]{12}…\), the list names scan\.ply \(5 bytes\)/,
    ],
  ])('are told apart by the scan of the list, %s', async (_, measured, listed, said) => {
    const files = { ...(await done('study', 'p1', measured)), 'p1/scan.ply': bytesOf(listed) };
    const { world, work } = check(files, ['study'], [task('p1')]);
    await expect(work).rejects.toMatchObject({
      code: 'ROW_OF_TWO_SCANS',
      kind: 'input',
      message: expect.stringMatching(said),
      details: { row: 'p1', part: 'study' },
    });
    expect(world.folders.has('/here/all')).toBe(false);
  });

  it('are told apart by each other where no scan is here, also behind rows that are alike', async () => {
    const files = {
      ...(await done('a', 'p1', 'anna')),
      ...(await done('b', 'p1', 'anna')),
      ...(await done('a', 'p2', 'carla')),
      ...(await done('b', 'p2', 'doris')),
    };
    await expect(check(files, ['a', 'b'], [task('p1'), task('p2')]).work).rejects.toMatchObject({
      code: 'ROW_OF_TWO_SCANS',
      message: expect.stringMatching(
        /^"a" has row p2 of scan\.ply \(5 bytes, .*\), "b" of scan\.ply \(5 bytes, /,
      ),
    });
  });
});

describe('rows of the list', () => {
  it('pass with their scans here, and those without are counted', async () => {
    const files = {
      ...(await done('a', 'p1', 'anna')),
      ...(await done('b', 'p2', 'berta')),
      'p1/scan.ply': bytesOf('anna'),
    };
    expect(await check(files, ['a'], [task('p1')]).work).toEqual({ notHere: 0, notRead: [] });
    const { work, compared } = check(files, ['a', 'b'], [task('p1'), task('p2'), task('p3')]);
    expect(await work).toEqual({ notHere: 1, notRead: [] });
    expect(compared).toEqual([1, 2, 3]);
  });

  it('whose scan cannot be read keep nobody from merging the rest, and are named', async () => {
    const files = {
      ...(await done('a', 'p1', 'anna')),
      ...(await done('a', 'p2', 'berta')),
      ...(await done('a', 'p3', 'carla')),
      'p1/scan.ply': bytesOf('anna'),
      // A folder where the scan should be.
      'p3/scan.ply/x': bytesOf(''),
    };
    const world = makeMemoryWorld(files);
    const { open } = world.io.files;
    vi.spyOn(world.io.files, 'open').mockImplementation((path) => {
      if (path === '/here/p2/scan.ply') throw Object.assign(new Error('no'), { code: 'EACCES' });
      return open(path);
    });
    const tasks = ['p1', 'p2', 'p3'].map((name) => task(name));
    expect(await checkParts(['a'], tasks, world.io, () => {})).toEqual({
      notHere: 0,
      notRead: [
        { row: 'p2', sentence: '"/here/p2/scan.ply" cannot be read (EACCES); check who may read it.' },
        { row: 'p3', sentence: '"/here/p3/scan.ply" is a folder; name the file in it.' },
      ],
    });
  });

  it('that failed or that no part has are of no scan', async () => {
    const fault = { code: 'PLY_CUT_SHORT', sentence: 'The file ends too early.' };
    const files = {
      'a/results/p1/row.json': writeFailedRow('p1', '1', STATED, fault),
      'p1/scan.ply': bytesOf('anna'),
    };
    expect(await check(files, ['a'], [task('p1'), task('p2')]).work).toEqual({
      notHere: 0,
      notRead: [],
    });
  });
});

it('ends when it is stopped, for large scans take their time', async () => {
  const { world, work } = check(await done('a', 'p1', 'anna'), ['a'], [task('p1')]);
  world.onPause = () => world.stop.abort();
  await expect(work).rejects.toMatchObject({ code: 'CANCELLED' });
});
