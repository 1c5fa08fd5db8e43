import type {
  Analysis,
  Contact,
  ContactStatus,
  GapEstimate,
  SectionProfile,
} from '../../src/contacts/types.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import type { ScanHealth, ScanSource } from '../../src/scan/types.ts';
import { archOrder } from '../../src/teeth/notation.ts';
import { textbookSize } from '../../src/teeth/tooth-sizes-table.ts';
import type { Jaw, ToothNumber } from '../../src/teeth/types.ts';

/**
 * Hand-made analyses for the tests of what leaves the tool. Nothing here measures: teeth of textbook width stand on
 * an ellipse, and each contact is what the test says it is.
 */

/** What a test says about one contact; everything else follows. */
export interface ContactSpec {
  readonly status: ContactStatus;
  readonly gapMm?: number;
  readonly u95Mm?: number;
  readonly upperBoundMm?: number;
  readonly notes?: readonly string[];
}

export interface AnalysisSpec {
  readonly jaw?: Jaw;
  /** Teeth present, any order; default all but third molars. */
  readonly teeth?: readonly ToothNumber[];
  readonly missing?: readonly ToothNumber[];
  readonly fixed?: readonly ToothNumber[];
  /** By pair, e.g. `13-12`; default: bridged, 0.24 mm. */
  readonly contacts?: Readonly<Record<string, ContactSpec>>;
  readonly limitMm?: number;
  readonly originMm?: Vec3;
  readonly fileName?: string;
}

const WIDTH_MM = 56;
const DEPTH_MM = 42;

export function makeSource(fileName = 'demo-arch.ply'): ScanSource {
  return {
    fileName,
    byteLength: 5_767_168,
    sha256: '3b1f0c5e9a77d2864f10e2b8c6d9a0517e4c3f2b1a0d9e8c7b6a5f4e3d2c1b0a',
    format: 'ply-binary-le',
    unit: {
      unit: 'mm',
      basis: 'size',
      sure: true,
      sentence: 'The scan is 61.2 by 55.0 by 18.3 in the file’s numbers, the size of an arch in millimetres.',
    },
    trianglesInFile: 279_984,
    verticesInFile: 141_888,
  };
}

export function makeHealth(): ScanHealth {
  return {
    vertices: 141_888,
    triangles: 279_984,
    weldedVertices: 0,
    degenerateRemoved: 0,
    duplicatesRemoved: 0,
    components: 6,
    largestComponentTriangles: 279_610,
    openEdges: 1422,
    nonManifoldEdges: 0,
    flippedEdges: 0,
    medianEdgeMm: 0.193,
    sizeMm: [61.2, 55, 18.3],
    areaMm2: 5320,
    findings: [
      {
        code: 'SMALL_PIECES',
        severity: 'info',
        sentence: '5 small loose pieces lie beside the arch; they are not measured.',
        count: 5,
      },
    ],
  };
}

export function makeGap(valueMm: number, u95Mm: number): GapEstimate {
  return {
    valueMm,
    u95Mm,
    basis: 'patch',
    terms: [
      { name: 'fit', type: 'A', standardMm: u95Mm / 2.5, source: 'residuals of both patches' },
      { name: 'waviness', type: 'B', standardMm: u95Mm * 0.3, source: 'stated default' },
    ],
  };
}

/** A contact; the points stand around `at`, along `direction`. */
export function makeContact(
  toothA: ToothNumber,
  toothB: ToothNumber,
  spec: ContactSpec,
  at: Vec3 = [0, 0, 0],
  direction: Vec3 = [1, 0, 0],
  limitMm = 0.1,
): Contact {
  const measured = spec.gapMm !== undefined;
  const half = (spec.gapMm ?? 0) / 2;
  const bridged = spec.status === 'bridged' || (spec.status === 'closed' && !measured);
  const shifted = (by: number): Vec3 => [
    at[0] + direction[0] * by,
    at[1] + direction[1] * by,
    at[2] + direction[2] * by,
  ];
  const placed = spec.status !== 'missing-tooth';
  return {
    toothA,
    toothB,
    status: spec.status,
    gap: spec.gapMm === undefined ? null : makeGap(spec.gapMm, spec.u95Mm ?? 0.05),
    upperBoundMm: spec.upperBoundMm ?? (spec.status === 'bridged' ? 0.24 : null),
    nearestMm: spec.gapMm === undefined ? null : spec.gapMm - 0.012,
    clearanceMm: spec.gapMm === undefined ? null : spec.gapMm + 0.004,
    bridge: bridged ? 'full' : 'none',
    bridgeHeightMm: bridged ? 1.8 : null,
    bridgeWidthMm: bridged ? 2.3 : null,
    pointA: placed ? shifted(-half) : null,
    pointB: placed ? shifted(half) : null,
    closingDirection: direction,
    heightMm: placed ? 2.6 : null,
    slipMm: placed ? 0.31 : null,
    limitMm,
    notes: spec.notes ?? [],
  };
}

export function makeAnalysis(spec: AnalysisSpec = {}): Analysis {
  const jaw = spec.jaw ?? 'upper';
  const order = archOrder(jaw);
  const present = new Set(spec.teeth ?? order.filter((tooth) => tooth % 10 !== 8));
  const missing = spec.missing ?? [];
  const row = order.filter((tooth) => present.has(tooth) && !missing.includes(tooth));
  const limitMm = spec.limitMm ?? 0.1;
  const { centres, joints } = placeTeeth(row, missing);
  const contacts: Contact[] = [];
  for (let k = 0; k + 1 < row.length; k++) {
    const [a, b] = [row[k]!, row[k + 1]!];
    const between = order
      .slice(order.indexOf(a) + 1, order.indexOf(b))
      .some((tooth) => missing.includes(tooth));
    const given = spec.contacts?.[`${a}-${b}`];
    const contactSpec = given ?? { status: between ? ('missing-tooth' as const) : ('bridged' as const) };
    const { point, direction } = joints[k]!;
    contacts.push(makeContact(a, b, contactSpec, point, direction, limitMm));
  }
  return {
    sources: [makeSource(spec.fileName)],
    health: makeHealth(),
    kind: 'scan',
    originMm: spec.originMm ?? [0, 0, 0],
    fileUnit: 'mm',
    jaw,
    frame: { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, jaw === 'upper' ? -1 : 1] },
    archCurve: centres,
    teeth: row.map((tooth, k) => {
      const size = textbookSize(tooth);
      return {
        tooth,
        centre: centres[k]!,
        mesiodistalMm: size.mesiodistalMm,
        buccolingualMm: size.buccolingualMm,
        crownHeightMm: size.crownMm * 0.8,
        areaMm2: size.mesiodistalMm * size.buccolingualMm * 2.4,
        fixed: spec.fixed?.includes(tooth) ?? false,
      };
    }),
    missing,
    contacts,
    settings: { limitMm },
    warnings: [],
  };
}

/** Teeth one after the other along half an ellipse, by arc length, missing ones leaving their width free. */
function placeTeeth(row: readonly ToothNumber[], missing: readonly ToothNumber[]) {
  const order = archOrder(row[0]! < 30 ? 'upper' : 'lower');
  const all = order.filter((tooth) => row.includes(tooth) || missing.includes(tooth));
  const width = (tooth: ToothNumber) => textbookSize(tooth).mesiodistalMm;
  const total = all.reduce((sum, tooth) => sum + width(tooth), 0);
  const steps = 4000;
  const curve = (t: number): Vec3 => [
    -(WIDTH_MM / 2) * Math.cos(Math.PI * t),
    DEPTH_MM * Math.sin(Math.PI * t) - DEPTH_MM / 2,
    0,
  ];
  const lengths = [0];
  for (let k = 1; k <= steps; k++) {
    const [p, q] = [curve((k - 1) / steps), curve(k / steps)];
    lengths.push(lengths[k - 1]! + Math.hypot(q[0] - p[0], q[1] - p[1]));
  }
  const whole = lengths[steps]!;
  const at = (s: number): Vec3 => {
    const k = lengths.findIndex((length) => length >= s);
    return curve(Math.max(0, k) / steps);
  };
  const starts = new Map<ToothNumber, number>();
  let s = (whole - total) / 2;
  for (const tooth of all) {
    starts.set(tooth, s);
    s += width(tooth);
  }
  const centres = row.map((tooth) => at(starts.get(tooth)! + width(tooth) / 2));
  const joints = row.slice(0, -1).map((tooth, k) => {
    const place = (starts.get(tooth)! + width(tooth) + starts.get(row[k + 1]!)!) / 2;
    const [p, q] = [at(place - 0.2), at(place + 0.2)];
    const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const direction: Vec3 = [(q[0] - p[0]) / length, (q[1] - p[1]) / length, 0];
    return { point: at(place), direction };
  });
  return { centres, joints };
}

/** The demo's mouth: three spaces, one undecided contact, the rest bridged. */
export function threeSpaces(): Analysis {
  return makeAnalysis({
    contacts: {
      '13-12': { status: 'open', gapMm: 0.25, u95Mm: 0.034 },
      '12-11': { status: 'undecided', gapMm: 0.11, u95Mm: 0.03 },
      '11-21': { status: 'open', gapMm: 0.352, u95Mm: 0.031 },
      '21-22': { status: 'closed', gapMm: 0.04, u95Mm: 0.03 },
      '23-24': { status: 'open', gapMm: 0.6, u95Mm: 0.04, notes: ['angle'] },
      '26-27': { status: 'not-measurable', upperBoundMm: 0.31, notes: ['near-gum'] },
    },
  });
}

/** Two rounded crowns side by side in the section plane, `gapMm` apart at their closest, gum below. */
export function makeSection(contact: Contact, gapMm: number): SectionProfile {
  const wall = (side: -1 | 1): number[] => {
    const flat: number[] = [];
    // A rounded wall, widest at v = 0, leaning away above and below; then over the crown's top to its far side.
    for (let v = -3.6; v <= 2.2; v += 0.18) {
      const ripple = 0.006 * Math.sin(v * 9);
      flat.push(side * (gapMm / 2 + 0.11 * v * v + 0.012 * Math.abs(v) ** 3 + ripple), v);
    }
    const rim = flat[flat.length - 2]! * side;
    for (let u = rim; u < 8.4; u += 0.2) {
      flat.push(side * u, 2.2 + 1.1 * Math.sin(((u - rim) / 3) * Math.PI) * Math.exp(-(u - rim) / 6));
    }
    for (let v = 2.2; v > -3.2; v -= 0.2) flat.push(side * (8.4 + 0.1 * (2 - v)), v);
    return flat;
  };
  const a = wall(-1);
  const b = wall(1);
  const gum: number[] = [];
  for (let u = a[0]!; u <= b[0]!; u += 0.1) gum.push(u, -3.6 + 0.9 * Math.cos((u / b[0]!) * (Math.PI / 2)));
  const measured = contact.gap !== null;
  return {
    toothA: contact.toothA,
    toothB: contact.toothB,
    origin: contact.pointA ?? [0, 0, 0],
    u: contact.closingDirection,
    v: [0, 0, -1],
    linesA: [a],
    linesB: [b],
    linesGum: [gum],
    a: measured ? [-gapMm / 2, 0] : null,
    b: measured ? [gapMm / 2, 0] : null,
    outOfPlaneMm: 0.004,
  };
}
