import * as v from 'valibot';
import { isToothNumber } from '../teeth/notation.ts';
import {
  finite,
  healthSchema,
  list,
  nonNegative,
  orNull,
  point,
  sourceSchema,
  unit,
} from './scan-facts-json.ts';

/** The shape of `result.json` as read back, schema `archgap-result/1`; docs/schemas holds the same as JSON Schema. */

export const RESULT_SCHEMA = 'archgap-result/1';

const tooth = v.pipe(
  v.string(),
  v.check(
    (text) => /^\d{2}$/.test(text) && isToothNumber(Number(text)),
    'expected an ISO 3950 number such as "13"',
  ),
  v.transform(Number),
);

const gapTerm = v.object({
  name: v.string(),
  type: v.picklist(['A', 'B']),
  standard_mm: nonNegative,
  source: v.string(),
});

const fittedWalls = v.object({
  origin: point,
  u: point,
  v: point,
  w: point,
  radius_mm: nonNegative,
  degree: v.picklist([2, 4]),
  a: list(finite),
  b: list(finite),
});

const crownFace = v.object({
  overlap_mm: orNull(nonNegative),
  area_20um_mm2: nonNegative,
  area_50um_mm2: nonNegative,
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
    gap_u95_mm: orNull(nonNegative),
    gap_basis: orNull(v.picklist(['mesh-minimum', 'patch', 'crown-shells'])),
    gap_terms: list(gapTerm),
    upper_bound_mm: orNull(finite),
    nearest_mm: orNull(finite),
    clearance_mm: orNull(finite),
    bridge: v.picklist(['none', 'partial', 'full']),
    bridge_height_mm: orNull(nonNegative),
    bridge_width_mm: orNull(nonNegative),
    point_a: orNull(point),
    point_b: orNull(point),
    closing_direction: point,
    height_mm: orNull(finite),
    slip_mm: orNull(finite),
    limit_mm: nonNegative,
    notes: list(v.string()),
    angle_rad: orNull(nonNegative),
    coarse_edge_mm: orNull(nonNegative),
    contact_area_20um_mm2: orNull(nonNegative),
    contact_area_50um_mm2: orNull(nonNegative),
    // Results of earlier versions have none.
    crown_contact: v.optional(orNull(v.object({ buccal_mm: orNull(finite), a: crownFace, b: crownFace }))),
    fitted_walls: orNull(fittedWalls),
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

const marks = v.object({
  right: point,
  left: point,
  right_seen: v.boolean(),
  left_seen: v.boolean(),
  cusp: orNull(point),
});

/** Follows from teeth and contacts; written for readers of the file, not read back. */
const index = v.object({
  code: v.string(),
  name: v.string(),
  value_mm: orNull(finite),
  u95_mm: orNull(nonNegative),
  grade: orNull(v.string()),
  definition: v.string(),
  source: v.string(),
  reason: orNull(v.string()),
});

const scanner = v.object({
  name: v.string(),
  waviness_mm: nonNegative,
  scale_share: nonNegative,
  systematic_half_width_mm: nonNegative,
  systematic_below_mm: nonNegative,
  no_bridge_gap_mm: nonNegative,
  noise_allowance_mm: v.exactOptional(nonNegative),
});

export const resultSchema = v.object({
  schema: v.literal(RESULT_SCHEMA),
  software: v.object({ name: v.string(), version: v.string() }),
  kind: v.picklist(['scan', 'crowns']),
  jaw: v.picklist(['upper', 'lower']),
  file_unit: unit,
  origin_mm: point,
  sources: v.pipe(list(sourceSchema), v.minLength(1, 'expected at least one file')),
  health: orNull(healthSchema),
  occlusal_frame: v.object({ origin: point, x: point, y: point, z: point }),
  arch_curve: list(point),
  teeth: list(
    v.object({
      tooth,
      centre: point,
      mesiodistal_mm: orNull(nonNegative),
      buccolingual_mm: orNull(nonNegative),
      crown_height_mm: orNull(nonNegative),
      area_mm2: nonNegative,
      fixed: v.boolean(),
      // Files written before the sizes had uncertainties lack these.
      mesiodistal_u95_mm: v.optional(orNull(nonNegative), null),
      buccolingual_u95_mm: v.optional(orNull(nonNegative), null),
      crown_height_u95_mm: v.optional(orNull(nonNegative), null),
      marks: v.optional(orNull(marks), null),
      outline_mm: v.optional(orNull(list(finite)), null),
    }),
  ),
  missing: list(tooth),
  contacts: list(contact),
  indices: v.optional(list(index), []),
  settings: v.object({
    limit_mm: nonNegative,
    scanner: orNull(scanner),
    scanner_taken_over: v.optional(v.literal(true)),
  }),
  warnings: list(v.object({ code: v.string(), sentence: v.string(), teeth: v.exactOptional(list(tooth)) })),
});

export type ResultDocument = v.InferOutput<typeof resultSchema>;
export type ResultInput = v.InferInput<typeof resultSchema>;
