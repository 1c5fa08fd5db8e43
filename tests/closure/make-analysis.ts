import type { Vec2 } from '../../src/closure/plane.ts';
import type { Analysis, Contact, ContactStatus } from '../../src/contacts/types.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import type { Jaw, OcclusalFrame, ToothNumber, ToothRecord } from '../../src/teeth/types.ts';
import { TEXTBOOK_WIDTHS, type TextbookArch } from './textbook-arch.ts';

/** What a test says about one contact; the rest is what the measurement would have said. */
export interface ContactSays {
  readonly status: ContactStatus;
  readonly valueMm: number | null;
  readonly u95Mm?: number;
  readonly upperBoundMm?: number | null;
}

/** Upper jaw: right-handed. */
export const UPRIGHT: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

export function lift(frame: OcclusalFrame, p: Vec2, height = 0): Vec3 {
  return [0, 1, 2].map(
    (i) => frame.origin[i]! + p[0] * frame.x[i]! + p[1] * frame.y[i]! + height * frame.z[i]!,
  ) as unknown as Vec3;
}

/** An analysis as the contacts step hands it over, from plane geometry. */
export function makeAnalysis(input: {
  teeth: readonly ToothNumber[];
  centres: readonly Vec2[];
  pointsA: readonly Vec2[];
  pointsB: readonly Vec2[];
  says: readonly ContactSays[];
  widths?: readonly number[];
  jaw?: Jaw;
  frame?: OcclusalFrame;
  fixed?: readonly ToothNumber[];
  missing?: readonly ToothNumber[];
  limitMm?: number;
}): Analysis {
  const frame = input.frame ?? UPRIGHT;
  const limitMm = input.limitMm ?? 0.1;
  const records = input.teeth.map(
    (tooth, i): ToothRecord => ({
      tooth,
      // Heights differ from tooth to tooth: the planner has to leave them out.
      centre: lift(frame, input.centres[i]!, 0.3 * (i % 3)),
      mesiodistalMm: input.widths?.[i] ?? null,
      buccolingualMm: null,
      crownHeightMm: null,
      areaMm2: 150,
      fixed: input.fixed?.includes(tooth) ?? false,
    }),
  );
  const contacts = input.says.map((said, k): Contact => {
    const measured = said.valueMm !== null;
    const a = lift(frame, input.pointsA[k]!, -1);
    const b = lift(frame, input.pointsB[k]!, -1);
    const middle: Vec3 = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
    return {
      toothA: input.teeth[k]!,
      toothB: input.teeth[k + 1]!,
      status: said.status,
      gap: measured ? { valueMm: said.valueMm!, u95Mm: said.u95Mm ?? 0.03, basis: 'patch', terms: [] } : null,
      upperBoundMm: said.upperBoundMm ?? null,
      nearestMm: said.valueMm,
      clearanceMm: said.valueMm,
      // A contact without a number is one that the scan runs across.
      bridge: !measured && said.status !== 'missing-tooth' ? 'full' : 'none',
      bridgeHeightMm: null,
      bridgeWidthMm: null,
      pointA: said.status === 'missing-tooth' ? null : measured ? a : middle,
      pointB: said.status === 'missing-tooth' ? null : measured ? b : middle,
      closingDirection: [1, 0, 0],
      heightMm: 1,
      slipMm: null,
      limitMm,
      notes: [],
    };
  });
  return {
    sources: [],
    health: null,
    kind: 'scan',
    originMm: [0, 0, 0],
    fileUnit: 'mm',
    jaw: input.jaw ?? 'upper',
    frame,
    archCurve: records.map((r) => r.centre),
    teeth: records,
    missing: input.missing ?? [],
    contacts,
    settings: { limitMm },
    warnings: [],
  };
}

/** Spaces measured and decided against the limit; zero becomes a proven closed contact without a number. */
export function saysOf(gaps: readonly number[], limitMm = 0.1): ContactSays[] {
  return gaps.map((gap) =>
    gap === 0
      ? { status: 'closed', valueMm: null, upperBoundMm: 0.05 }
      : {
          status: gap - 0.03 > limitMm ? 'open' : gap + 0.03 < limitMm ? 'closed' : 'undecided',
          valueMm: gap,
        },
  );
}

export function analysisOf(
  arch: TextbookArch,
  extra: Partial<Parameters<typeof makeAnalysis>[0]> = {},
): Analysis {
  return makeAnalysis({
    teeth: arch.teeth,
    centres: arch.centres,
    pointsA: arch.pointsA,
    pointsB: arch.pointsB,
    says: saysOf(arch.gaps),
    widths: TEXTBOOK_WIDTHS,
    ...extra,
  });
}

/** Spaces by contact name over an arch that is closed elsewhere. */
export function gapsAt(teeth: readonly ToothNumber[], named: Record<string, number>): number[] {
  return teeth.slice(0, -1).map((tooth, k) => named[`${tooth}-${teeth[k + 1]!}`] ?? 0);
}
