import { describe, expect, it } from 'vitest';
import { batchTables } from '../../src/report/batch-tables.ts';
import { writeDataPackage } from '../../src/report/data-package.ts';

const tables = Object.values(batchTables(['operator'])).map((table) => ({
  table,
  fileName: `${table.name}.csv`,
  bytes: 10,
  sha256: 'ab',
}));
const text = writeDataPackage({ version: '1.2.3', settings: { limit_mm: 0.1 }, tables });

describe('writeDataPackage', () => {
  it('describes every table with path, size, checksum, fields and keys', () => {
    const document = JSON.parse(text);
    expect(document.profile).toBe('tabular-data-package');
    expect(document.software).toEqual({ name: 'archgap', version: '1.2.3' });
    for (const [k, resource] of document.resources.entries()) {
      const { table } = tables[k]!;
      expect(resource).toMatchObject({ path: `${table.name}.csv`, bytes: 10, hash: 'sha256:ab' });
      const names = resource.schema.fields.map(({ name }: { name: string }) => name);
      expect(names).toEqual(table.fields.map(({ name }) => name));
      expect(resource.schema.fields.every(({ description }: { description: string }) => description)).toBe(
        true,
      );
      for (const key of [resource.schema.primaryKey].flat()) expect(names).toContain(key);
      // Every table but the list of rows refers to it.
      expect(resource.schema.foreignKeys !== undefined).toBe(table.name !== 'rows');
    }
  });

  it('gives equal bytes for equal inputs: no date, no machine', () => {
    expect(writeDataPackage({ version: '1.2.3', settings: { limit_mm: 0.1 }, tables })).toBe(text);
    expect(text).not.toMatch(/created|\d{4}-\d{2}-\d{2}T/);
  });
});
