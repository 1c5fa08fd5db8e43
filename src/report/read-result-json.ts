import * as v from 'valibot';
import { noteNotClicked } from '../contacts/not-clicked.ts';
import type {
  Analysis,
  Contact,
  CrownFace,
  FittedWalls,
  GapEstimate,
  MeasureSettings,
} from '../contacts/types.ts';
import { inputError } from '../geometry/archgap-error.ts';
import { schemaFault } from '../geometry/schema-fault.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, sub } from '../geometry/vec3.ts';
import { jawOf, toothSortIndex } from '../teeth/notation.ts';
import type { ToothRecord } from '../teeth/types.ts';
import { RESULT_SCHEMA, type ResultDocument, resultSchema } from './result-schema.ts';
import { healthFromJson, sourceFromJson } from './scan-facts-json.ts';

type ContactDocument = ResultDocument['contacts'][number];

/** Sizes' uncertainties and marks stand together or not at all. */
function refinedIn(
  record: ResultDocument['teeth'][number],
  toScan: (point: Vec3) => Vec3,
): Pick<ToothRecord, 'sizesU95Mm' | 'marks'> {
  const { marks } = record;
  if (marks === null) return {};
  return {
    sizesU95Mm: {
      mesiodistal: record.mesiodistal_u95_mm,
      buccolingual: record.buccolingual_u95_mm,
      crownHeight: record.crown_height_u95_mm,
    },
    marks: {
      right: toScan(marks.right),
      left: toScan(marks.left),
      rightSeen: marks.right_seen,
      leftSeen: marks.left_seen,
      cusp: marks.cusp && toScan(marks.cusp),
    },
  };
}

/**
 * Reads a `result.json` back.
 *
 * @throws ArchgapError `RESULT_NOT_JSON`, `RESULT_WRONG_SCHEMA`, `RESULT_INVALID`
 */
export function readResultJson(text: string): Analysis {
  let raw: unknown;
  try {
    raw = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (cause) {
    throw inputError(
      'RESULT_NOT_JSON',
      'The file is not JSON; expected the result.json that "archgap measure" writes.',
      { cause },
    );
  }
  checkSchemaName(raw);
  const parsed = v.safeParse(resultSchema, raw);
  if (!parsed.success) {
    const issue = parsed.issues[0];
    const place = v.getDotPath(issue) ?? 'the top level';
    throw inputError(
      'RESULT_INVALID',
      `The result file is wrong at ${place}: ${schemaFault(issue, resultSchema)}; measure the scan again to get a sound one.`,
      { details: { place } },
    );
  }
  const analysis = toAnalysis(parsed.output);
  checkTeeth(analysis);
  checkCoverage(analysis);
  checkPlaces(analysis);
  return analysis;
}

function checkSchemaName(raw: unknown): void {
  const name = typeof raw === 'object' && raw !== null && 'schema' in raw ? raw.schema : undefined;
  if (name === RESULT_SCHEMA) return;
  const found = typeof name === 'string' ? `"${name.slice(0, 40)}"` : 'no schema name';
  throw inputError(
    'RESULT_WRONG_SCHEMA',
    `The file carries ${found}; expected "${RESULT_SCHEMA}", the result.json that "archgap measure" writes.`,
  );
}

/** Farther from the occlusal frame than this no tooth of the same mouth stands: ten times a large arch. */
const FARTHEST_PLACE_MM = 1000;

function refuse(place: string, problem: string): never {
  throw inputError(
    'RESULT_INVALID',
    `The result file is wrong at ${place}: ${problem}; measure the scan again to get a sound one.`,
    { details: { place } },
  );
}

/** Contacts must join teeth of the list, all of one jaw, in arch order; the planner relies on it. */
function checkTeeth(analysis: Analysis): void {
  const present = new Set<number>();
  for (const [k, { tooth }] of analysis.teeth.entries()) {
    if (jawOf(tooth) !== analysis.jaw)
      refuse(`teeth.${k}`, `tooth ${tooth} is not of the ${analysis.jaw} jaw`);
    if (present.has(tooth)) refuse(`teeth.${k}`, `tooth ${tooth} stands there twice`);
    const before = analysis.teeth[k - 1]?.tooth;
    if (before !== undefined && toothSortIndex(before) > toothSortIndex(tooth)) {
      refuse(`teeth.${k}`, `tooth ${tooth} stands after ${before}, against the arch order`);
    }
    present.add(tooth);
  }
  for (const [k, { toothA, toothB }] of analysis.contacts.entries()) {
    for (const tooth of [toothA, toothB]) {
      if (!present.has(tooth)) refuse(`contacts.${k}`, `tooth ${tooth} is not in the list of teeth`);
    }
    if (toothSortIndex(toothA) >= toothSortIndex(toothB)) {
      refuse(`contacts.${k}`, `${toothA}-${toothB} runs against the arch order`);
    }
  }
}

/** One row for each two neighbours of the list, in its order: a row too few would hide a space from plan and record. */
function checkCoverage({ teeth, contacts }: Analysis): void {
  for (let k = 0; k + 1 < teeth.length; k += 1) {
    const [a, b] = [teeth[k]!.tooth, teeth[k + 1]!.tooth];
    const row = contacts[k];
    if (row === undefined) refuse('contacts', `the row of ${a}-${b} is missing`);
    if (row.toothA !== a || row.toothB !== b)
      refuse(`contacts.${k}`, `found ${row.toothA}-${row.toothB} where ${a}-${b} belongs`);
  }
  const rows = Math.max(0, teeth.length - 1);
  if (contacts.length > rows) refuse(`contacts.${rows}`, 'it is a row more than there are neighbours');
}

/** Whatever stands in one mouth is near it; a point kilometres away is damage that the planner could not solve. */
function checkPlaces({ frame, teeth, contacts }: Analysis): void {
  const check = (place: string, point: Vec3 | null): void => {
    if (point && !(distance(point, frame.origin) <= FARTHEST_PLACE_MM))
      refuse(place, `the point lies more than ${FARTHEST_PLACE_MM} mm from the arch`);
  };
  for (const [k, { centre }] of teeth.entries()) check(`teeth.${k}.centre`, centre);
  for (const [k, { pointA, pointB }] of contacts.entries()) {
    check(`contacts.${k}.point_a`, pointA);
    check(`contacts.${k}.point_b`, pointB);
  }
}

function toAnalysis(document: ResultDocument): Analysis {
  const originMm: Vec3 = document.origin_mm;
  const toScan = (point: Vec3): Vec3 => sub(point, originMm);
  const { occlusal_frame: frame } = document;
  return {
    sources: document.sources.map(sourceFromJson),
    health: document.health && healthFromJson(document.health),
    kind: document.kind,
    originMm,
    fileUnit: document.file_unit,
    jaw: document.jaw,
    frame: { origin: toScan(frame.origin), x: frame.x, y: frame.y, z: frame.z },
    archCurve: document.arch_curve.map(toScan),
    teeth: document.teeth.map((record) => ({
      tooth: record.tooth,
      centre: toScan(record.centre),
      mesiodistalMm: record.mesiodistal_mm,
      buccolingualMm: record.buccolingual_mm,
      crownHeightMm: record.crown_height_mm,
      areaMm2: record.area_mm2,
      fixed: record.fixed,
      ...refinedIn(record, toScan),
      ...(record.outline_mm === null ? {} : { outlineMm: record.outline_mm }),
    })),
    missing: document.missing,
    contacts: contactsIn(document, toScan),
    settings: settingsIn(document.settings),
    warnings: document.warnings,
  };
}

function settingsIn(settings: ResultDocument['settings']): MeasureSettings {
  const { limit_mm: limitMm, scanner } = settings;
  if (scanner === null) return { limitMm };
  return {
    limitMm,
    ...(settings.scanner_taken_over ? { scannerTakenOver: true } : {}),
    scanner: {
      name: scanner.name,
      wavinessMm: scanner.waviness_mm,
      scaleShare: scanner.scale_share,
      systematicHalfWidthMm: scanner.systematic_half_width_mm,
      systematicBelowMm: scanner.systematic_below_mm,
      noBridgeGapMm: scanner.no_bridge_gap_mm,
      ...(scanner.noise_allowance_mm === undefined ? {} : { noiseAllowanceMm: scanner.noise_allowance_mm }),
    },
  };
}

/** Results from before the note `not-clicked` get it here, or a tooth that nobody clicked would be called missing. */
function contactsIn(
  { contacts, jaw, kind, missing }: ResultDocument,
  toScan: (point: Vec3) => Vec3,
): Contact[] {
  const all = contacts.map((contact) => contactIn(contact, toScan));
  return kind === 'scan' ? noteNotClicked(all, jaw, missing) : all;
}

function contactIn(contact: ContactDocument, toScan: (point: Vec3) => Vec3): Contact {
  return {
    toothA: contact.tooth_a,
    toothB: contact.tooth_b,
    status: contact.status,
    gap: gapIn(contact),
    upperBoundMm: contact.upper_bound_mm,
    nearestMm: contact.nearest_mm,
    clearanceMm: contact.clearance_mm,
    bridge: contact.bridge,
    bridgeHeightMm: contact.bridge_height_mm,
    bridgeWidthMm: contact.bridge_width_mm,
    pointA: contact.point_a && toScan(contact.point_a),
    pointB: contact.point_b && toScan(contact.point_b),
    closingDirection: contact.closing_direction,
    heightMm: contact.height_mm,
    slipMm: contact.slip_mm,
    limitMm: contact.limit_mm,
    notes: contact.notes,
    ...(contact.angle_rad === null ? {} : { angleRad: contact.angle_rad }),
    ...(contact.coarse_edge_mm === null ? {} : { coarseEdgeMm: contact.coarse_edge_mm }),
    ...contactAreasIn(contact),
    ...crownContactIn(contact),
    ...(contact.fitted_walls === null ? {} : { fittedWalls: fittedWallsIn(contact.fitted_walls, toScan) }),
  };
}

function fittedWallsIn(
  walls: NonNullable<ContactDocument['fitted_walls']>,
  toScan: (point: Vec3) => Vec3,
): FittedWalls {
  const { u, v: across, w, degree, a, b } = walls;
  return { origin: toScan(walls.origin), u, v: across, w, radiusMm: walls.radius_mm, degree, a, b };
}

function contactAreasIn(contact: ContactDocument): Pick<Contact, 'contactAreas'> {
  const { contact_area_20um_mm2: within20umMm2, contact_area_50um_mm2: within50umMm2 } = contact;
  if (within20umMm2 === null || within50umMm2 === null) return {};
  return { contactAreas: { within20umMm2, within50umMm2 } };
}

function crownContactIn({ crown_contact: found }: ContactDocument): Pick<Contact, 'crownContact'> {
  if (!found) return {};
  const face = (one: typeof found.a): CrownFace => ({
    overlapMm: one.overlap_mm,
    within20umMm2: one.area_20um_mm2,
    within50umMm2: one.area_50um_mm2,
  });
  return { crownContact: { buccalMm: found.buccal_mm, a: face(found.a), b: face(found.b) } };
}

function gapIn(contact: ContactDocument): GapEstimate | null {
  const { gap_mm: valueMm, gap_u95_mm: u95Mm, gap_basis: basis } = contact;
  if (valueMm === null || u95Mm === null || basis === null) return null;
  const terms = contact.gap_terms.map((term) => ({
    name: term.name,
    type: term.type,
    standardMm: term.standard_mm,
    source: term.source,
  }));
  return { valueMm, u95Mm, basis, terms };
}
