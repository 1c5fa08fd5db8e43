import { makeArch } from '../../fixtures/make-arch.ts';
import { makePose, moved } from '../../fixtures/pose.ts';
import { makePrng } from '../../fixtures/prng.ts';
import { addNoise } from '../../fixtures/scan-faults.ts';
import { surfaceNormals } from '../../fixtures/surface-tools.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { madeSpec } from './made-specs.ts';

/** How far from the middle of a crown an operator clicks at most, mm. */
const CLICK_REACH_MM = 1.5;

/** One scan of an invented mouth by one operator in one session, with the operator's clicks. */
interface StudyScan {
  readonly operator: string;
  readonly session: number;
  readonly scan: Uint8Array;
  readonly clicks: string;
}

interface StudyMouth {
  readonly jaw: 'upper' | 'lower';
  /** True spaces of neighbours, mm. */
  readonly spaces: readonly { readonly toothA: number; readonly toothB: number; readonly gapMm: number }[];
  readonly scans: readonly StudyScan[];
}

/**
 * An invented mouth of the project's generator, scanned once by every operator in every session: another pose, other
 * noise and waves, other clicks each time. Triangles and webs of the scans are the same, which is not realistic: how
 * a scanner bridges would differ, too.
 */
export function studyMouth(
  seed: number,
  operators: readonly string[],
  sessions: readonly number[],
): StudyMouth {
  const spec = madeSpec(seed);
  const clean = makeArch({
    ...spec,
    gridMm: 0.25,
    toothEdgeMm: 0.3,
    gumEdgeMm: 0.8,
    noiseMm: 0,
    waveMm: 0,
    holes: 0,
    crumbs: 0,
  });
  const surface = {
    positions: Float64Array.from(clean.positions),
    triangles: Int32Array.from(clean.triangles),
  };
  const normals = surfaceNormals(surface);
  const scans = operators.flatMap((operator, o) =>
    sessions.map((session, s) => {
      const scanSeed = 1000 * seed + 10 * o + s + 1;
      const random = makePrng(scanSeed);
      const amount = { whiteMm: spec.noiseMm, waveMm: spec.waveMm, seed: scanSeed };
      const noisy = addNoise(surface, normals, amount, random);
      const positions = new Float32Array(moved(makePose(scanSeed), noisy.positions));
      const clicks = clean.clicks.clicks.map(({ tooth, point }) => {
        const vertex = nearbyVertex(clean, Number(tooth), point, random.next());
        return { tooth, point: [0, 1, 2].map((k) => positions[3 * vertex + k]!) };
      });
      return {
        operator,
        session,
        scan: writePly(
          { positions, triangles: clean.triangles },
          { comments: ['Invented mouth, invented operators', 'synthetic scan, millimetres'] },
        ),
        clicks: `${JSON.stringify({ ...clean.clicks, clicks })}\n`,
      };
    }),
  );
  const spaces = clean.truth.pairs.map(({ toothA, toothB, trueGapMm }) => ({
    toothA,
    toothB,
    gapMm: trueGapMm,
  }));
  return { jaw: spec.jaw, spaces, scans };
}

/** A corner of the tooth's own triangles near a place; `share` picks one. */
function nearbyVertex(
  { positions, triangles, labelsPerTriangle }: ReturnType<typeof makeArch>,
  tooth: number,
  point: readonly number[],
  share: number,
): number {
  const near: number[] = [];
  for (let t = 0; t < labelsPerTriangle.length; t += 1) {
    if (labelsPerTriangle[t] !== tooth) continue;
    const vertex = triangles[3 * t]!;
    const away = Math.hypot(...[0, 1, 2].map((k) => positions[3 * vertex + k]! - point[k]!));
    if (away < CLICK_REACH_MM) near.push(vertex);
  }
  const chosen = near[Math.floor(share * near.length)];
  if (chosen === undefined) throw new Error(`no vertex of tooth ${tooth} near its click`);
  return chosen;
}
