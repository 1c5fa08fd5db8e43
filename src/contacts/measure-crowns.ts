import { inputError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import { type IndexedSurface, indexSurface } from '../geometry/surface-distance.ts';
import { triangleAreas, triangleCentroids, vertexNormals } from '../geometry/triangle-geometry.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot, lerp, sub, vertexAt } from '../geometry/vec3.ts';
import { COARSE_EDGE_MM } from '../scan/limits.ts';
import { type ScanWarning, scanWarnings } from '../scan/scan-warnings.ts';
import { archTangentAt, fitArchCurve, sampleArchCurve } from '../teeth/arch-curve.ts';
import { refuseWrongNumbers } from '../teeth/check-numbers.ts';
import { crownTopPlane } from '../teeth/crown-top-plane.ts';
import { archOrder } from '../teeth/notation.ts';
import { measureTeeth } from '../teeth/tooth-records.ts';
import type { Jaw, ToothNumber, ToothRecord } from '../teeth/types.ts';
import { medianEdgeOf, prepareArchSurface } from './arch-surface.ts';
import { checkLimit } from './check-limit.ts';
import { rayClearance } from './closing-clearance.ts';
import { areaWithin } from './contact-area.ts';
import { contactFrame } from './contact-frame.ts';
import { crownFrame } from './crown-frame.ts';
import { scannerTerms } from './gap-budget.ts';
import { contactRecord, missingToothContact } from './measure-arch.ts';
import { NOTHING_SEEN } from './measure-pair.ts';
import { type Crown, type MergedCrowns, mergeCrowns } from './merge-crowns.ts';
import { neighbourPairs } from './neighbour-pairs.ts';
import { shellDistance } from './shell-distance.ts';
import { sizeTeeth } from './size-teeth.ts';
import { FACETED_RADIUS_MM, NOTED_ANGLE_RAD } from './tolerances.ts';
import type {
  Analysis,
  Contact,
  CrownFace,
  GapEstimate,
  MeasureSettings,
  NoteCode,
  ScannerProfile,
  UncertaintyTerm,
} from './types.ts';
import { expandedMm, rectangularStandard } from './uncertainty.ts';

const CURVE_POINTS = 64;
/** Code of the finding that a mesh is coarse. */
const COARSE = 'COARSE_SCAN';
/** Distances within which the area of contact is given, mm. */
const AREA_LEVELS_MM = [0.02, 0.05] as const;

/** A crown ready for queries. */
interface CrownShell {
  readonly surface: IndexedSurface;
  readonly triangles: Uint32Array;
}

/**
 * Contacts of separate crown meshes that share one frame (laboratory): closed shells, so that distance has a sign.
 *
 * @param crowns - one closed shell per tooth, at least two
 * @throws ArchgapError `ONE_TOOTH`, `CROWN_TWICE`, `CROWN_WRONG_JAW`, `CROWN_UNITS_DIFFER`, `CROWNS_COINCIDE`,
 *   `LIMIT_OUT_OF_RANGE`, `NUMBERS_MIRRORED`, `NUMBERS_OUT_OF_ORDER`
 */
export async function measureCrowns(
  crowns: readonly Crown[],
  jaw: Jaw,
  settings: MeasureSettings,
  control: JobControl = UNATTENDED,
): Promise<Analysis> {
  checkLimit(settings.limitMm);
  checkCrowns(crowns, jaw);
  await control.checkpoint(0, 'preparing the crowns');
  const merged = mergeCrowns(crowns);
  const centred = crownRecords(merged);
  checkPlaces(centred, crowns);
  const centres = new Map<ToothNumber, Vec3>(centred.map((record) => [record.tooth, record.centre]));
  const { frame: rough, occlusalKnown } = crownFrame(centres, jaw, (tooth, z) => topOf(merged, tooth, z));
  // The same plane of crown tops as on a scan, so that heights mean the same.
  const tops = occlusalKnown ? crownTopPlane(merged.mesh, merged.labels, rough, jaw) : null;
  const frame = tops?.frame ?? rough;
  refuseWrongNumbers(centres, frame, jaw);
  const segmentation = { labels: merged.labels, frame, warnings: [] };
  const said = { jaw, clicks: [], missing: [], fixed: [] };
  const curve = fitArchCurve(frame, [...centres.values()]);
  const arch = { mesh: merged.mesh, labels: merged.labels, jaw, frame, curve, centres };
  const teeth = occlusalKnown
    ? await sizeTeeth(
        arch,
        prepareArchSurface(merged.mesh, merged.labels),
        measureTeeth(merged.mesh, segmentation, said),
        [],
        subJob(control, 0, 0),
      )
    : centred;
  const normals = vertexNormals(merged.mesh);
  const shells = new Map<ToothNumber, CrownShell>();
  const pairs = neighbourPairs(jaw, [...centres.keys()]);
  const contacts: Contact[] = [];
  const shellOf = (tooth: ToothNumber): CrownShell => {
    const known = shells.get(tooth);
    if (known !== undefined) return known;
    const triangles = merged.parts.get(tooth)!;
    const shell = { triangles, surface: indexSurface(merged.mesh, triangles) };
    shells.set(tooth, shell);
    return shell;
  };
  for (const pair of pairs) {
    await control.checkpoint((1 + contacts.length) / (1 + pairs.length), 'measuring contacts');
    const middle = lerp(centres.get(pair.toothA)!, centres.get(pair.toothB)!, 0.5);
    const directions = contactFrame(frame, jaw, archTangentAt(curve, middle));
    if (pair.between.length > 0) {
      contacts.push(missingToothContact({ frame }, pair, directions, settings.limitMm));
      continue;
    }
    const measured = measureShells(
      merged,
      normals,
      shellOf(pair.toothA),
      shellOf(pair.toothB),
      directions.t,
      settings.scanner,
    );
    const { areas, faces, ...rest } = measured;
    const record = contactRecord({ frame }, pair, directions, settings.limitMm, { ...NOTHING_SEEN, ...rest });
    contacts.push({
      ...record,
      ...(occlusalKnown ? {} : { heightMm: null, slipMm: null }),
      contactAreas: areas,
      crownContact: {
        buccalMm: occlusalKnown
          ? dot(sub(lerp(measured.pointA, measured.pointB, 0.5), middle), directions.b)
          : null,
        ...faces,
      },
    });
  }
  const first = crowns[0]!;
  return {
    sources: crowns.map((crown) => crown.scan.source),
    health: null,
    kind: 'crowns',
    originMm: merged.originMm,
    fileUnit: first.scan.source.unit.unit,
    jaw,
    frame,
    archCurve: sampleArchCurve(curve, CURVE_POINTS),
    teeth,
    missing: [],
    contacts,
    settings,
    warnings: crownWarnings(crowns, occlusalKnown, settings.scanner === undefined),
  };
}

/** Crowns whose surfaces have the same middle to this, mm, are one crown given twice: neighbours are millimetres apart. */
const SAME_PLACE_MM = 0.5;

/**
 * Refuses two crowns in one place: neighbours need a direction between them.
 * @throws ArchgapError `CROWNS_COINCIDE`
 */
function checkPlaces(centred: readonly ToothRecord[], crowns: readonly Crown[]): void {
  const fileOf = (tooth: ToothNumber) => crowns.find((crown) => crown.tooth === tooth)?.scan.source.fileName;
  centred.forEach((one, i) => {
    const other = centred.slice(i + 1).find(({ centre }) => distance(centre, one.centre) < SAME_PLACE_MM);
    if (other === undefined) return;
    throw inputError(
      'CROWNS_COINCIDE',
      `The crowns of ${one.tooth} (${fileOf(one.tooth)}) and ${other.tooth} (${fileOf(other.tooth)}) lie in one place; expected one file per tooth, all in one frame. Check which file belongs to which tooth.`,
      { details: { toothA: one.tooth, toothB: other.tooth } },
    );
  });
}

function checkCrowns(crowns: readonly Crown[], jaw: Jaw): void {
  if (crowns.length < 2) {
    throw inputError('ONE_TOOTH', `${crowns.length} crown was given; a contact needs two neighbours.`);
  }
  for (const { tooth } of crowns) {
    if (archOrder(jaw).includes(tooth)) continue;
    throw inputError(
      'CROWN_WRONG_JAW',
      `Tooth ${tooth} does not belong to the ${jaw} jaw; check the numbers.`,
      { details: { tooth } },
    );
  }
}

/** Area-weighted centre and area of every crown; widths need an occlusal frame, which needs the centres first. */
function crownRecords(merged: MergedCrowns): ToothRecord[] {
  const areas = triangleAreas(merged.mesh);
  const centroids = triangleCentroids(merged.mesh);
  return [...merged.parts].map(([tooth, triangles]) => {
    let areaMm2 = 0;
    const sum: [number, number, number] = [0, 0, 0];
    for (const t of triangles) {
      areaMm2 += areas[t]!;
      for (let k = 0; k < 3; k += 1) sum[k]! += areas[t]! * centroids[3 * t + k]!;
    }
    return {
      tooth,
      centre: [sum[0] / areaMm2, sum[1] / areaMm2, sum[2] / areaMm2],
      mesiodistalMm: null,
      buccolingualMm: null,
      crownHeightMm: null,
      areaMm2,
      fixed: false,
    };
  });
}

/** Greatest coordinate of a crown along a direction, mm. */
function topOf(merged: MergedCrowns, tooth: ToothNumber, direction: Vec3): number {
  let top = Number.NEGATIVE_INFINITY;
  for (const t of merged.parts.get(tooth)!) {
    for (let k = 0; k < 3; k += 1) {
      const p = vertexAt(merged.mesh.positions, merged.mesh.triangles[3 * t + k]!);
      top = Math.max(top, dot(p, direction));
    }
  }
  return top;
}

/**
 * The budget of a distance between shells: what flat facets leave open. The files are taken as they are: drawn crowns
 * have no scanner, and of a scanner that crowns were cut from a scan of, nothing is assumed; it is asked for.
 */
function shellEstimate(signedMm: number, edgeMm: number, scanner: ScannerProfile | undefined): GapEstimate {
  const sagitta = (edgeMm * edgeMm) / (8 * FACETED_RADIUS_MM);
  const terms: UncertaintyTerm[] = [
    {
      name: 'facets',
      type: 'B',
      standardMm: rectangularStandard(2 * sagitta),
      source: `Flat triangles of ${edgeMm.toFixed(2)} mm edges stand for walls with a radius of ${FACETED_RADIUS_MM} mm or more, on both sides.${scanner === undefined ? ' Nothing else is in this uncertainty: the files are taken as they are, without an error of a scanner.' : ''}`,
    },
    ...(scanner === undefined ? [] : scannerTerms(signedMm, scanner)),
  ];
  return { valueMm: signedMm, u95Mm: expandedMm(terms), basis: 'crown-shells', terms };
}

/** Distance, clearance and areas of one pair of shells. */
function measureShells(
  merged: MergedCrowns,
  normals: Float32Array,
  a: CrownShell,
  b: CrownShell,
  t: Vec3,
  scanner: ScannerProfile | undefined,
) {
  const shell = shellDistance(a.surface, b.surface);
  const edgeMm = medianEdgeOf(merged.mesh, [...a.triangles, ...b.triangles]);
  const facing = (part: CrownShell, side: 1 | -1): number[] => {
    const points = new Set<number>();
    for (const triangle of part.triangles) {
      for (let k = 0; k < 3; k += 1) points.add(merged.mesh.triangles[3 * triangle + k]!);
    }
    return [...points]
      .filter((v) => side * dot(vertexAt(normals, v), t) > 0)
      .flatMap((v) => [...vertexAt(merged.mesh.positions, v)]);
  };
  const rays = rayClearance(facing(a, 1), a.surface, facing(b, -1), b.surface, t);
  const overlapping = shell.signedMm < 0 || shell.isCrossing;
  const areasA = areaWithin(a.surface, b.surface, overlapping, AREA_LEVELS_MM);
  const areasB = areaWithin(b.surface, a.surface, overlapping, AREA_LEVELS_MM);
  const across = sub(shell.pointB, shell.pointA);
  const size = Math.sqrt(dot(across, across));
  const angleRad = size > 0 ? Math.acos(Math.min(1, Math.abs(dot(across, t)) / size)) : null;
  const notes: NoteCode[] = shell.isCrossing ? ['depth-unknown'] : [];
  if (angleRad !== null && angleRad > NOTED_ANGLE_RAD) notes.push('angle');
  return {
    gap: shell.isCrossing ? null : shellEstimate(shell.signedMm, edgeMm, scanner),
    nearestMm: shell.isCrossing ? null : shell.signedMm,
    clearanceMm: rays?.clearanceMm ?? null,
    pointA: shell.pointA,
    pointB: shell.pointB,
    angleRad,
    notes,
    faces: {
      a: faceOf(shell.isCrossing ? null : shell.depthAInBMm, areasA),
      b: faceOf(shell.isCrossing ? null : shell.depthBInAMm, areasB),
    },
    areas: {
      within20umMm2: (areasA[0]! + areasB[0]!) / 2,
      within50umMm2: (areasA[1]! + areasB[1]!) / 2,
    },
  };
}

function faceOf(overlapMm: number | null, areas: readonly number[]): CrownFace {
  return { overlapMm, within20umMm2: areas[0]!, within50umMm2: areas[1]! };
}

/** Said once for all of them: a set comes from one program, and the same sentence ten times is not read. */
function coarseWarning(crowns: readonly Crown[]): ScanWarning {
  const teeth = crowns.map(({ tooth }) => tooth);
  const edges = crowns.map(({ scan }) => scan.health.medianEdgeMm);
  const [least, most] = [Math.min(...edges), Math.max(...edges)].map((edge) => edge.toFixed(2));
  const size = least === most ? `${least} mm` : `${least} to ${most} mm`;
  const many = teeth.length > 1;
  return {
    code: COARSE,
    sentence: `${many ? 'Crowns' : 'Crown'} ${teeth.join(', ')}: the mesh is coarse, with ${many ? 'median edges' : 'a median edge'} of ${size}, above ${COARSE_EDGE_MM.toFixed(2)} mm; small spaces cannot be measured well.`,
    teeth,
  };
}

function crownWarnings(crowns: readonly Crown[], occlusalKnown: boolean, asGiven: boolean): ScanWarning[] {
  const warnings: ScanWarning[] = [];
  // First: it says what every interval of the table leaves out.
  if (asGiven) {
    warnings.push({
      code: 'CROWNS_AS_GIVEN',
      sentence:
        'The uncertainties are those of the crown files as they are, from their facets alone. For crowns that come from a scan its errors are not in them; the command line counts them where the scanner is stated (measure --crown, --scanner).',
    });
  }
  for (const { tooth, scan } of crowns) {
    const found = scanWarnings(scan.health, `Crown ${tooth}`).filter(({ code }) => code !== COARSE);
    warnings.push(...found.map((warning) => ({ ...warning, teeth: [tooth] })));
  }
  const coarse = crowns.filter(({ scan }) => scan.health.findings.some(({ code }) => code === COARSE));
  if (coarse.length > 0) warnings.push(coarseWarning(coarse));
  const open = crowns.filter((crown) => crown.scan.health.openEdges > 0).map((crown) => crown.tooth);
  if (open.length > 0) {
    warnings.push({
      code: 'CROWN_NOT_CLOSED',
      sentence: `The crowns of ${open.join(', ')} are not closed; an overlap there may be measured too small.`,
      teeth: open,
    });
  }
  if (!occlusalKnown) {
    warnings.push({
      code: 'OCCLUSAL_UNKNOWN',
      sentence: 'The crowns stand in a line, so the occlusal direction is not known; heights are left out.',
    });
  }
  return warnings;
}
