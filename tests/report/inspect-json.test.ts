import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { writeInspectJson } from '../../src/report/inspect-json.ts';
import { makeHealth, makeSource } from '../helpers/make-analysis.ts';

const schema = JSON.parse(
  readFileSync(new URL('../../docs/schemas/archgap-inspect-1.json', import.meta.url), 'utf8'),
);
const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(schema);

describe('writeInspectJson', () => {
  it('satisfies the published JSON Schema and carries the facts', () => {
    const scan = {
      positions: new Float32Array(9),
      triangles: new Uint32Array(3),
      colors: null,
      originMm: [0, 0, 0] as const,
      source: makeSource('a.stl'),
      health: makeHealth(),
    };
    const document = JSON.parse(writeInspectJson(scan, { version: '0.1.0' }));
    validate(document);
    expect(validate.errors ?? []).toEqual([]);
    expect(document.source).toMatchObject({ file_name: 'a.stl', triangles_in_file: 279_984 });
    expect(document.health).toMatchObject({ open_edges: 1422, median_edge_mm: 0.193 });
    expect(document.has_color).toBe(false);
  });
});
