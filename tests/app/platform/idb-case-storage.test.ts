import 'fake-indexeddb/auto';
import { openDB } from 'idb';
import { beforeEach, describe, expect, it } from 'vitest';
import { emptyInputs } from '../../../src/app/kernel/case-inputs.ts';
import { type CaseStorage, isOvertaken, type StoredCase } from '../../../src/app/kernel/case-storage.ts';
import { makeIdbCaseStorage } from '../../../src/app/platform/idb-case-storage.ts';

let name = '';
let serial = 0;
beforeEach(() => {
  serial += 1;
  name = `test-${serial}`;
});

const stored = (id: string, keys: [string] | [string, string], savedAt = 1, limitMm = 0.1): StoredCase => {
  const arch = (scanKey: string) => ({
    scanKey,
    fileName: `${scanKey}.stl`,
    unit: null,
    originMm: null,
    inputs: { ...emptyInputs(), limitMm },
  });
  const [first, second] = keys;
  return {
    version: 2,
    id,
    demo: false,
    savedAt,
    arches: second ? [arch(first), arch(second)] : [arch(first)],
  };
};
const scan = (...values: number[]) => new Uint8Array(values);
const raw = () => openDB(name, 1);

describe('cases in IndexedDB', () => {
  it('come back as they were saved, newest first, with their scans byte for byte', async () => {
    const storage = makeIdbCaseStorage(name);
    await storage.save(stored('a', ['a1'], 1), new Map([['a1', scan(1, 2)]]));
    await storage.save(
      stored('b', ['b1', 'b2'], 2),
      new Map([
        ['b1', scan(3)],
        ['b2', scan(4)],
      ]),
    );
    expect(await storage.list()).toEqual({
      cases: [stored('b', ['b1', 'b2'], 2), stored('a', ['a1'], 1)],
      unreadable: 0,
    });
    expect([...(await storage.scanOf('b2'))!]).toEqual([4]);
  });

  it('a scan that the case no longer names is gone with the save that let it go', async () => {
    const storage = makeIdbCaseStorage(name);
    await storage.save(
      stored('a', ['a1', 'a2']),
      new Map([
        ['a1', scan(1)],
        ['a2', scan(2)],
      ]),
    );
    await storage.save(stored('a', ['a1']), new Map());
    expect(await storage.scanOf('a2')).toBeNull();
    expect(await storage.scanOf('a1')).not.toBeNull();
  });

  it('deleted means deleted: no record, no scan is left in the database', async () => {
    const storage = makeIdbCaseStorage(name);
    await storage.save(
      stored('a', ['a1', 'a2']),
      new Map([
        ['a1', scan(1)],
        ['a2', scan(2)],
      ]),
    );
    await storage.remove('a');
    const db = await raw();
    expect([await db.count('cases'), await db.count('scans')]).toEqual([0, 0]);
    db.close();
  });

  it('a save that breaks in the middle leaves the case as it was before', async () => {
    const storage = makeIdbCaseStorage(name);
    await storage.save(stored('a', ['a1'], 1), new Map([['a1', scan(1)]]));
    // The new scan is written first; the record then cannot be cloned, as if the power had gone between the two.
    const broken = { ...stored('a', ['a2'], 2), broken: () => {} } as unknown as StoredCase;
    await expect(storage.save(broken, new Map([['a2', scan(2)]]))).rejects.toThrow();
    expect((await storage.list()).cases).toEqual([stored('a', ['a1'], 1)]);
    expect([...(await storage.scanOf('a1'))!]).toEqual([1]);
    expect(await storage.scanOf('a2')).toBeNull();
  });

  it('an older state does not come over a newer one, nor take its scans away', async () => {
    const storage = makeIdbCaseStorage(name);
    const newer = stored('a', ['a1', 'a2'], 5);
    await storage.save(
      newer,
      new Map([
        ['a1', scan(1)],
        ['a2', scan(2)],
      ]),
    );
    const late = storage.save(stored('a', ['a1', 'a3'], 4), new Map([['a3', scan(3)]]));
    await expect(late).rejects.toSatisfy(isOvertaken);
    expect((await storage.list()).cases).toEqual([newer]);
    expect([...(await storage.scanOf('a2'))!]).toEqual([2]);
    expect(await storage.scanOf('a3')).toBeNull();
    await storage.save(stored('a', ['a1'], 6), new Map());
    expect((await storage.list()).cases).toEqual([stored('a', ['a1'], 6)]);
  });

  describe('a scan longer than a piece', () => {
    const long = Uint8Array.from({ length: 5_000_001 }, (_, i) => i * 31);
    const saved = async () => {
      const storage = makeIdbCaseStorage(name);
      await storage.save(
        stored('a', ['a1', 'b1']),
        new Map([
          ['a1', long],
          ['b1', scan(1)],
        ]),
      );
      return storage;
    };

    it('comes back byte for byte, and lies there in pieces, none of which holds up the page', async () => {
      const storage = await saved();
      expect(Buffer.compare((await storage.scanOf('a1'))!, long)).toBe(0);
      const db = await raw();
      const lengths = (await db.getAll('scans')).map((one) => ('length' in one ? one.length : 'how'));
      expect(lengths.sort()).toEqual([1, 1, ...Array(10).fill(500_000), 'how']);
      db.close();
    });

    it('is gone as a whole, with the save that lets it go and with its case', async () => {
      for (const remove of [
        (storage: CaseStorage) => storage.save(stored('a', ['b1'], 2), new Map()),
        (storage: CaseStorage) => storage.remove('a'),
      ]) {
        const storage = await saved();
        await remove(storage);
        const db = await raw();
        expect(await db.count('scans')).toBe(await db.count('cases'));
        db.close();
        expect(await storage.scanOf('a1')).toBeNull();
        await storage.remove('a');
      }
    });

    it('is not there where a piece of it is missing or too short', async () => {
      const storage = await saved();
      const db = await raw();
      await db.put('scans', scan(1, 2), ['a1', 2_000_000]);
      expect(await storage.scanOf('a1')).toBeNull();
      await db.delete('scans', IDBKeyRange.only(['a1', 2_000_000]));
      expect(await storage.scanOf('a1')).toBeNull();
      db.close();
    });

    it('a save that breaks behind its first pieces leaves none of them', async () => {
      const storage = makeIdbCaseStorage(name);
      const broken = { ...stored('a', ['a1']), broken: () => {} } as unknown as StoredCase;
      await expect(storage.save(broken, new Map([['a1', long]]))).rejects.toThrow();
      const db = await raw();
      expect([await db.count('cases'), await db.count('scans')]).toEqual([0, 0]);
      db.close();
    });
  });

  it('leaves a case of a newer version alone, and counts it', async () => {
    const storage = makeIdbCaseStorage(name);
    await storage.save(stored('a', ['a1']), new Map([['a1', scan(1)]]));
    const db = await raw();
    await db.put('cases', { ...stored('n', ['n1']), version: 3 });
    db.close();
    expect(await storage.list()).toEqual({ cases: [stored('a', ['a1'])], unreadable: 1 });
  });

  it('reads a case of before there were two arches, and deletes its scan with it', async () => {
    const storage = makeIdbCaseStorage(name);
    await storage.list();
    const db = await raw();
    const inputs = { ...emptyInputs(), jaw: 'upper' as const };
    await db.put('cases', {
      version: 1,
      id: 'old',
      fileName: 'old.stl',
      demo: false,
      unit: 'cm',
      savedAt: 7,
      inputs,
    });
    await db.put('scans', scan(9), 'old');
    const [found] = (await storage.list()).cases;
    expect(found?.arches[0]).toEqual({
      scanKey: 'old',
      fileName: 'old.stl',
      unit: 'cm',
      originMm: null,
      inputs,
    });
    expect([...(await storage.scanOf('old'))!]).toEqual([9]);
    await storage.remove('old');
    expect(await db.count('scans')).toBe(0);
    db.close();
  });
});
