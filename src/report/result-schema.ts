import * as v from 'valibot';
import { isToothNumber } from '../teeth/notation.ts';

/** The shape of `result.json` as read back, schema `archgap-result/1`; docs/schemas holds the same as JSON Schema. */

export const RESULT_SCHEMA = 'archgap-result/1';

/** Longest list a one-arch file can need; longer ones are not ours. */
const MOST_ITEMS = 10_000;

const finite = v.pipe(v.number(), v.finite());
const positive = v.pipe(finite, v.minValue(0));
const count = v.pipe(v.number(), v.safeInteger(), v.minValue(0));
const orNull = <T extends v.GenericSchema>(schema: T) => v.nullable(schema);
const list = <T extends v.GenericSchema>(schema: T) => v.pipe(v.array(schema), v.maxLength(MOST_ITEMS));
const point = v.tuple([finite, finite, finite]);
const tooth = v.pipe(
  v.string(),
  v.check(
    (text) => /^\d{2}$/.test(text) && isToothNumber(Number(text)),
    'expected an ISO 3950 number such as "13"',
  ),
  v.transform(Number),
);
const unit = v.picklist(['mm', 'cm', 'm', 'in']);

const source = v.object({
  file_name: v.string(),
  byte_length: count,
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, 'expected 64 lower-case hexadecimal digits')),
  format: v.picklist(['stl-ascii', 'stl-binary', 'ply-ascii', 'ply-binary-le', 'ply-binary-be']),
  unit: v.object({
    unit,
    basis: v.picklist(['size', 'user', 'header']),
    sure: v.boolean(),
    sentence: v.string(),
  }),
  triangles_in_file: count,
  vertices_in_file: count,
});

const health = v.object({
  vertices: count,
  triangles: count,
  welded_vertices: count,
  degenerate_removed: count,
  duplicates_removed: count,
  components: count,
  largest_component_triangles: count,
  open_edges: count,
  non_manifold_edges: count,
  flipped_edges: count,
  median_edge_mm: positive,
  size_mm: point,
  area_mm2: positive,
  findings: list(
    v.object({
      code: v.string(),
      severity: v.picklist(['info', 'warning']),
      sentence: v.string(),
      count: orNull(count),
    }),
  ),
});

const gapTerm = v.object({
  name: v.string(),
  type: v.picklist(['A', 'B']),
  standard_mm: positive,
  source: v.string(),
});

const contact = v.pipe(
  v.object({
    tooth_a: tooth,
    tooth_b: tooth,
    status: v.picklist([
      'open',
      'undecided',
      'closed',
      'bridged',
      'overlap',
      'missing-tooth',
      'not-measurable',
    ]),
    gap_mm: orNull(finite),
    gap_u95_mm: orNull(positive),
    gap_basis: orNull(v.picklist(['mesh-minimum', 'patch', 'crown-shells'])),
    gap_terms: list(gapTerm),
    upper_bound_mm: orNull(finite),
    nearest_mm: orNull(finite),
    clearance_mm: orNull(finite),
    bridge: v.picklist(['none', 'partial', 'full']),
    bridge_height_mm: orNull(positive),
    bridge_width_mm: orNull(positive),
    point_a: orNull(point),
    point_b: orNull(point),
    closing_direction: point,
    height_mm: orNull(finite),
    slip_mm: orNull(finite),
    limit_mm: positive,
    notes: list(v.string()),
  }),
  v.check(
    ({ gap_mm, gap_u95_mm, gap_basis }) =>
      (gap_mm === null) === (gap_u95_mm === null) && (gap_mm === null) === (gap_basis === null),
    'gap_mm, gap_u95_mm and gap_basis must stand together or all be null',
  ),
  v.check(
    ({ gap_mm, status }) => status !== 'bridged' || gap_mm === null,
    'a bridged contact must not carry a space',
  ),
);

export const resultSchema = v.object({
  schema: v.literal(RESULT_SCHEMA),
  software: v.object({ name: v.string(), version: v.string() }),
  kind: v.picklist(['scan', 'crowns']),
  jaw: v.picklist(['upper', 'lower']),
  file_unit: unit,
  origin_mm: point,
  sources: v.pipe(list(source), v.minLength(1, 'expected at least one file')),
  health: orNull(health),
  occlusal_frame: v.object({ origin: point, x: point, y: point, z: point }),
  arch_curve: list(point),
  teeth: list(
    v.object({
      tooth,
      centre: point,
      mesiodistal_mm: orNull(positive),
      buccolingual_mm: orNull(positive),
      crown_height_mm: orNull(positive),
      area_mm2: positive,
      fixed: v.boolean(),
    }),
  ),
  missing: list(tooth),
  contacts: list(contact),
  settings: v.object({ limit_mm: positive }),
  warnings: list(v.object({ code: v.string(), sentence: v.string() })),
});

export type ResultDocument = v.InferOutput<typeof resultSchema>;
export type ResultInput = v.InferInput<typeof resultSchema>;
