import { describe, expect, it } from 'vitest';
import type { RowTask } from '../../src/cli/batch-row-types.ts';
import { type CommonFacts, mergeRow } from '../../src/cli/merge-row.ts';
import { RESULT_FILES } from '../../src/cli/result-files.ts';
import { statedSettings, writeDoneRow, writeFailedRow } from '../../src/cli/row-record.ts';
import { sha256 } from '../../src/scan/sha256.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const SETTINGS = { measure: { limitMm: 0.1 }, unit: null, numbering: 'iso' } as const;
const STATED = statedSettings(SETTINGS);
const TASK: RowTask = {
  name: 'm1',
  scan: { told: 'm1.ply', places: ['/here/m1.ply'] },
  clicks: { told: 'm1.json', places: ['/here/m1.json'] },
  jaw: null,
  fault: null,
  folder: '/here/all/results/m1',
  settings: SETTINGS,
};
const FAULT = { code: 'PLY_CUT_SHORT', sentence: 'The file ends too early.' };
const bytesOf = (text: string) => new TextEncoder().encode(text);

/** A done row of a part as it lies on disk, by path. */
async function donePart(part: string, options: { version?: string; limitMm?: number; scan?: string } = {}) {
  const { version = '1', limitMm = 0.1, scan = 'aa' } = options;
  const at = `${part}/results/m1`;
  const entries = await Promise.all(
    RESULT_FILES.map(async (name) => {
      const bytes = bytesOf(`${name} of ${scan}`);
      return [name, bytes, { sha256: await sha256(bytes), bytes: bytes.length }] as const;
    }),
  );
  const record = writeDoneRow({
    row: 'm1',
    software: { name: 'archgap', version },
    settings: { ...STATED, limit_mm: limitMm },
    inputs: {
      scan: { sha256: scan, bytes: 1, file_name: 'm1.ply' },
      clicks: { sha256: 'bb', bytes: 1 },
    },
    facts: { jaw: 'upper', triangles: 1, median_edge_mm: 0.2, contacts: 1, with_number: 1, open: 0 },
    files: Object.fromEntries(entries.map(([name, , facts]) => [name, facts])),
  });
  return Object.fromEntries([
    ...entries.map(([name, bytes]) => [`${at}/${name}`, bytes] as const),
    [`${at}/row.json`, record] as const,
  ]);
}
const failedPart = (part: string) => ({
  [`${part}/results/m1/row.json`]: writeFailedRow('m1', '1', STATED, FAULT),
});
const merge = (files: Record<string, Uint8Array>, parts: string[], common: CommonFacts | null = null) => {
  const world = makeMemoryWorld(files);
  return { world, work: mergeRow(TASK, parts, common, world.io) };
};

describe('mergeRow', () => {
  it('copies a row from the part that holds it, byte for byte, and says what the next has to share', async () => {
    const files = await donePart('p2');
    const { world, work } = merge(files, ['p1', 'p2']);
    expect(await work).toEqual({
      outcome: { kind: 'kept' },
      common: { version: '1', settings: STATED },
    });
    for (const name of [...RESULT_FILES, 'row.json']) {
      expect(world.files.get(`/here/all/results/m1/${name}`)).toEqual(files[`p2/results/m1/${name}`]);
    }
    expect([...world.files.keys()].filter((path) => path.endsWith('.part'))).toEqual([]);
  });

  it('takes the part that measured the row, whatever another part says of it', async () => {
    const { work } = merge({ ...failedPart('p1'), ...(await donePart('p2')) }, ['p1', 'p2']);
    expect((await work).outcome).toEqual({ kind: 'kept' });
  });

  it('hands a failure on, and leaves no files of a result beside it', async () => {
    const { world, work } = merge({ ...failedPart('p1'), 'all/results/m1/contacts.csv': bytesOf('old') }, [
      'p1',
    ]);
    expect((await work).outcome).toEqual({ kind: 'failed', fault: FAULT });
    expect(world.files.has('/here/all/results/m1/contacts.csv')).toBe(false);
    expect(world.files.has('/here/all/results/m1/row.json')).toBe(true);
  });

  it('fails a row that no part holds, and takes a record that was cut short for none', async () => {
    const cut = { 'p1/results/m1/row.json': failedPart('p1')['p1/results/m1/row.json']!.subarray(0, 40) };
    for (const files of [{}, cut]) {
      const { work } = merge(files, ['p1', 'p2']);
      const { outcome } = await work;
      expect(outcome.kind === 'failed' && outcome.fault.code).toBe('ROW_IN_NO_PART');
    }
  });

  it('refuses parts of another version, with other settings, or that measured another scan', async () => {
    const common = { version: '1', settings: STATED };
    const disagreeing = [
      [await donePart('p1', { version: '2' }), common],
      [await donePart('p1', { limitMm: 0.2 }), common],
      [{ ...(await donePart('p1')), ...(await donePart('p2', { scan: 'cc' })) }, null],
    ] as const;
    for (const [files, before] of disagreeing) {
      await expect(merge(files, ['p1', 'p2'], before).work).rejects.toMatchObject({ code: 'PARTS_DISAGREE' });
    }
  });

  it('refuses a file that is not what was measured, and writes nothing of the row', async () => {
    for (const changed of [bytesOf('other'), null]) {
      const files = { ...(await donePart('p1')) };
      if (changed) files['p1/results/m1/result.json'] = changed;
      else delete files['p1/results/m1/result.json'];
      const { world, work } = merge(files, ['p1']);
      await expect(work).rejects.toMatchObject({ code: 'PART_DAMAGED' });
      expect([...world.files.keys()].filter((path) => path.startsWith('/here/all'))).toEqual([]);
    }
  });
});
