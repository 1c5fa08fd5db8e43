import { describe, expect, it } from 'vitest';
import { CONTACT_COLUMNS } from '../../src/report/contacts-csv.ts';
import { CONTACT_FIELDS, TEETH_FIELDS } from '../../src/report/table-fields.ts';
import { TEETH_COLUMNS } from '../../src/report/teeth-csv.ts';

describe('the fields of the tables', () => {
  it('stand in the order of the columns', () => {
    expect(Object.keys(CONTACT_FIELDS)).toEqual([...CONTACT_COLUMNS]);
    expect(Object.keys(TEETH_FIELDS)).toEqual([...TEETH_COLUMNS]);
  });

  it('have the unit of their name', () => {
    for (const [name, field] of Object.entries({ ...CONTACT_FIELDS, ...TEETH_FIELDS })) {
      if (name.endsWith('_mm')) expect([name, field.unit]).toEqual([name, 'mm']);
      if (name.endsWith('_mm2')) expect([name, field.unit]).toEqual([name, 'mm2']);
    }
  });
});
