import type { BatchTable } from './batch-tables.ts';

/** A table as it was written. */
export interface WrittenTable {
  readonly table: BatchTable;
  readonly fileName: string;
  readonly bytes: number;
  readonly sha256: string;
}

interface DataPackageInput {
  readonly version: string;
  /** Settings of every measurement, as the record of a row states them. */
  readonly settings: object;
  readonly tables: readonly WrittenTable[];
}

const UNIT_WORDS = { mm: 'mm', mm2: 'mm^2' } as const;

/**
 * `datapackage.json` of a batch: a Tabular Data Package (Data Package specification, version 1, of the Frictionless
 * project: specs.frictionlessdata.io/tabular-data-package). It has no date, so that equal inputs give equal bytes.
 */
export function writeDataPackage({ version, settings, tables }: DataPackageInput): string {
  const document = {
    profile: 'tabular-data-package',
    name: 'archgap-batch',
    title: 'Spaces between neighbouring teeth, measured on intraoral scans',
    description:
      'Lengths in millimetres, tooth numbers ISO 3950. An empty cell means that there is no number: a contact that the scanner bridged has none, only an upper bound. Measured by software; a licensed clinician decides.',
    software: { name: 'archgap', version },
    settings,
    resources: tables.map(resource),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function resource({ table, fileName, bytes, sha256 }: WrittenTable): object {
  return {
    profile: 'tabular-data-resource',
    name: table.name,
    title: table.title,
    path: fileName,
    format: 'csv',
    mediatype: 'text/csv',
    encoding: 'utf-8',
    bytes,
    hash: `sha256:${sha256}`,
    dialect: {
      delimiter: ',',
      lineTerminator: '\n',
      quoteChar: '"',
      doubleQuote: true,
      skipInitialSpace: false,
      header: true,
    },
    schema: {
      fields: table.fields.map(({ name, type, description, unit, enum: values, required }) => ({
        name,
        type,
        description,
        ...(unit ? { unit: UNIT_WORDS[unit] } : {}),
        ...(values || required
          ? { constraints: { ...(required ? { required: true } : {}), ...(values ? { enum: values } : {}) } }
          : {}),
      })),
      missingValues: [''],
      primaryKey: table.primaryKey,
      ...(table.name === 'rows'
        ? {}
        : { foreignKeys: [{ fields: 'row', reference: { resource: 'rows', fields: 'row' } }] }),
    },
  };
}
