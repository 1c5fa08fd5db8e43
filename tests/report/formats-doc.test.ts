import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { NOTE_CODES } from '../../src/contacts/types.ts';
import { AGREEMENT_COLUMNS } from '../../src/report/agreement-csv.ts';
import { COMPARE_COLUMNS } from '../../src/report/compare-csv.ts';
import { CONTACT_COLUMNS, CROWN_COLUMNS } from '../../src/report/contacts-csv.ts';
import { FIT_COLUMNS } from '../../src/report/fit-csv.ts';
import { PLAN_COLUMNS } from '../../src/report/plan-csv.ts';
import { TEETH_COLUMNS } from '../../src/report/teeth-csv.ts';

const doc = readFileSync(new URL('../../docs/formats.md', import.meta.url), 'utf8');
const schema = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../docs/schemas/${name}.json`, import.meta.url), 'utf8'));

/** Every property name of a schema, however deep. */
function names(node: unknown): string[] {
  if (typeof node !== 'object' || node === null) return [];
  return Object.entries(node).flatMap(([key, value]) =>
    key === 'properties'
      ? [...Object.keys(value as object), ...names(Object.values(value as object))]
      : names(value),
  );
}

describe('docs/formats.md', () => {
  it('describes every column of the tables', () => {
    const columns = [
      ...CONTACT_COLUMNS,
      ...CROWN_COLUMNS,
      ...TEETH_COLUMNS,
      ...PLAN_COLUMNS,
      ...COMPARE_COLUMNS,
      ...AGREEMENT_COLUMNS,
      ...FIT_COLUMNS,
    ].filter((name) => !/^([ab]|right_|left_)[xyz]$/.test(name));
    expect(columns.filter((name) => !doc.includes(`\`${name}\``))).toEqual([]);
    expect(doc).toContain('`ax` ... `bz`');
    expect(doc).toContain('`right_x` ... `left_z`');
  });

  it.each([
    'archgap-result-1',
    'archgap-plan-1',
    'archgap-practice-1',
    'archgap-clicks',
    'archgap-scanner-1',
    'archgap-case-1',
    'archgap-compare-1',
    'archgap-agreement-1',
    'archgap-fit-1',
  ])('names the fields of %s', (name) => {
    // The counts of the mesh are named by the schema itself.
    const counts = new Set(names(schema('archgap-inspect-1').properties.health));
    // The terms of a scanner are described at archgap-scanner/1.
    const scanner = new Set(
      name === 'archgap-scanner-1' ? [] : names(schema('archgap-result-1').properties.settings),
    );
    const left = names(schema(name)).filter((field) => !counts.has(field) && !scanner.has(field));
    const listed = (field: string) => doc.includes(`\`${field}\``) || doc.includes(`"${field}"`);
    expect(
      left.filter((field) => !listed(field) && !['a', 'b', 'name', 'version', 'inside'].includes(field)),
    ).toEqual([]);
  });

  it('explains exactly the notes a contact may carry', () => {
    const table = /\| note \| meaning \|\n\|---\|---\|\n((?:\|.*\n)+)/.exec(doc)![1]!;
    const codes = [...table.matchAll(/^\| `([a-z-]+)` \|/gm)].map((match) => match[1]!);
    expect(codes).toEqual([...NOTE_CODES]);
  });

  it('links only schemas that exist', () => {
    const links = [...doc.matchAll(/\]\((schemas\/[^)]+\.json)\)/g)].map((match) => match[1]!);
    expect(links).toHaveLength(10);
    for (const link of links) {
      expect(() => readFileSync(new URL(`../../docs/${link}`, import.meta.url))).not.toThrow();
    }
  });
});
