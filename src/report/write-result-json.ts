import { type ArchIndex, archIndices } from '../contacts/arch-indices.ts';
import type { Analysis, Contact, CrownFace, FittedWalls, ScannerProfile } from '../contacts/types.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add } from '../geometry/vec3.ts';
import type { ToothMarks } from '../teeth/types.ts';
import { RESULT_SCHEMA, type ResultInput } from './result-schema.ts';
import { healthToJson, sourceToJson } from './scan-facts-json.ts';
import { warningJson } from './warning-json.ts';

/**
 * The whole measurement as JSON, schema `archgap-result/1`. Millimetres, numbers in full; points in the file's
 * coordinates; tooth numbers as ISO 3950 strings.
 *
 * @throws RangeError when the analysis holds a number that JSON cannot carry
 */
export function writeResultJson(analysis: Analysis, meta: { readonly version: string }): string {
  const toFile = (point: Vec3): [number, number, number] => [...add(point, analysis.originMm)];
  const document: ResultInput = {
    schema: RESULT_SCHEMA,
    software: { name: 'archgap', version: meta.version },
    kind: analysis.kind,
    jaw: analysis.jaw,
    file_unit: analysis.fileUnit,
    origin_mm: [...analysis.originMm],
    sources: analysis.sources.map(sourceToJson),
    health: analysis.health && healthToJson(analysis.health),
    occlusal_frame: {
      origin: toFile(analysis.frame.origin),
      x: [...analysis.frame.x],
      y: [...analysis.frame.y],
      z: [...analysis.frame.z],
    },
    arch_curve: analysis.archCurve.map(toFile),
    teeth: analysis.teeth.map((record) => ({
      tooth: String(record.tooth),
      centre: toFile(record.centre),
      mesiodistal_mm: record.mesiodistalMm,
      buccolingual_mm: record.buccolingualMm,
      crown_height_mm: record.crownHeightMm,
      area_mm2: record.areaMm2,
      fixed: record.fixed,
      mesiodistal_u95_mm: record.sizesU95Mm?.mesiodistal ?? null,
      buccolingual_u95_mm: record.sizesU95Mm?.buccolingual ?? null,
      crown_height_u95_mm: record.sizesU95Mm?.crownHeight ?? null,
      marks: record.marks ? marksOut(record.marks, toFile) : null,
      outline_mm: record.outlineMm ? [...record.outlineMm] : null,
    })),
    missing: analysis.missing.map(String),
    contacts: analysis.contacts.map((contact) => contactOut(contact, toFile)),
    indices: archIndices(analysis).map(indexOut),
    settings: {
      limit_mm: analysis.settings.limitMm,
      scanner: scannerOut(analysis.settings.scanner),
      ...(analysis.settings.scannerTakenOver ? { scanner_taken_over: true } : {}),
    },
    warnings: analysis.warnings.map(warningJson),
  };
  return `${JSON.stringify(document, refuseNonFinite, 2)}\n`;
}

/** JSON would turn these into null, which means "no number" here and would be a lie. */
function refuseNonFinite(key: string, value: unknown): unknown {
  if (typeof value === 'number' && !Number.isFinite(value)) {
    throw new RangeError(`The result holds ${value} at "${key}"; JSON cannot carry it.`);
  }
  return value;
}

function scannerOut(scanner: ScannerProfile | undefined): ResultInput['settings']['scanner'] {
  if (!scanner) return null;
  return {
    name: scanner.name,
    waviness_mm: scanner.wavinessMm,
    scale_share: scanner.scaleShare,
    systematic_half_width_mm: scanner.systematicHalfWidthMm,
    systematic_below_mm: scanner.systematicBelowMm,
    no_bridge_gap_mm: scanner.noBridgeGapMm,
    ...(scanner.noiseAllowanceMm === undefined ? {} : { noise_allowance_mm: scanner.noiseAllowanceMm }),
  };
}

function indexOut(index: ArchIndex): NonNullable<ResultInput['indices']>[number] {
  const { code, name, valueMm, u95Mm, grade, definition, source, reason } = index;
  return { code, name, value_mm: valueMm, u95_mm: u95Mm, grade, definition, source, reason };
}

function marksOut(
  marks: ToothMarks,
  toFile: (point: Vec3) => [number, number, number],
): NonNullable<ResultInput['teeth'][number]['marks']> {
  return {
    right: toFile(marks.right),
    left: toFile(marks.left),
    right_seen: marks.rightSeen,
    left_seen: marks.leftSeen,
    cusp: marks.cusp && toFile(marks.cusp),
  };
}

function contactOut(
  contact: Contact,
  toFile: (point: Vec3) => [number, number, number],
): ResultInput['contacts'][number] {
  const { gap } = contact;
  return {
    tooth_a: String(contact.toothA),
    tooth_b: String(contact.toothB),
    status: contact.status,
    gap_mm: gap?.valueMm ?? null,
    gap_u95_mm: gap?.u95Mm ?? null,
    gap_basis: gap?.basis ?? null,
    gap_terms: (gap?.terms ?? []).map((term) => ({
      name: term.name,
      type: term.type,
      standard_mm: term.standardMm,
      source: term.source,
    })),
    upper_bound_mm: contact.upperBoundMm,
    nearest_mm: contact.nearestMm,
    clearance_mm: contact.clearanceMm,
    bridge: contact.bridge,
    bridge_height_mm: contact.bridgeHeightMm,
    bridge_width_mm: contact.bridgeWidthMm,
    point_a: contact.pointA && toFile(contact.pointA),
    point_b: contact.pointB && toFile(contact.pointB),
    closing_direction: [...contact.closingDirection],
    height_mm: contact.heightMm,
    slip_mm: contact.slipMm,
    limit_mm: contact.limitMm,
    notes: [...contact.notes],
    angle_rad: contact.angleRad ?? null,
    coarse_edge_mm: contact.coarseEdgeMm ?? null,
    contact_area_20um_mm2: contact.contactAreas?.within20umMm2 ?? null,
    contact_area_50um_mm2: contact.contactAreas?.within50umMm2 ?? null,
    crown_contact: contact.crownContact ? crownContactOut(contact.crownContact) : null,
    fitted_walls: contact.fittedWalls ? fittedWallsOut(contact.fittedWalls, toFile) : null,
  };
}

function fittedWallsOut(
  walls: FittedWalls,
  toFile: (point: Vec3) => [number, number, number],
): NonNullable<ResultInput['contacts'][number]['fitted_walls']> {
  return {
    origin: toFile(walls.origin),
    u: [...walls.u],
    v: [...walls.v],
    w: [...walls.w],
    radius_mm: walls.radiusMm,
    degree: walls.degree,
    a: [...walls.a],
    b: [...walls.b],
  };
}

function crownContactOut({ buccalMm, a, b }: NonNullable<Contact['crownContact']>) {
  const face = ({ overlapMm, within20umMm2, within50umMm2 }: CrownFace) => ({
    overlap_mm: overlapMm,
    area_20um_mm2: within20umMm2,
    area_50um_mm2: within50umMm2,
  });
  return { buccal_mm: buccalMm, a: face(a), b: face(b) };
}
