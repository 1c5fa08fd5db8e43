import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { median } from '../geometry/median.ts';
import type { Vec3 } from '../geometry/types.ts';
import { addScaled, cross, dot, normalize, perpendicularTo, scale, sub } from '../geometry/vec3.ts';
import { digitOf, toothSortIndex } from '../teeth/notation.ts';
import type { Jaw, OcclusalFrame, ToothNumber } from '../teeth/types.ts';

/** An occlusal frame for crowns without clicks or gum. */
export interface CrownFrame {
  readonly frame: OcclusalFrame;
  /** False when too few teeth stand in a line: the occlusal axis is then only some direction across the row. */
  readonly occlusalKnown: boolean;
}

/** The row must bend at least this share of its length for its plane to be known. */
const LEAST_BEND_SHARE = 0.05;

function meanOf(points: readonly Vec3[]): Vec3 {
  return scale(
    points.reduce<Vec3>((sum, p) => [sum[0] + p[0], sum[1] + p[1], sum[2] + p[2]], [0, 0, 0]),
    1 / points.length,
  );
}

/**
 * Occlusal frame from the tooth centres and their numbers alone: z is the normal of the plane of the centres, and the
 * numbers say which side of it is up, as the front teeth bulge forwards from the line right to left. x to the
 * patient's left, y to the front, z to the crowns' tops.
 * @param centres - at least two
 * @param topAlong - greatest coordinate of a tooth's surface along a direction, mm: the origin is moved up along z to
 *   the median of the crowns' tops, so that heights count from the occlusal plane
 */
export function crownFrame(
  centres: ReadonlyMap<ToothNumber, Vec3>,
  jaw: Jaw,
  topAlong: (tooth: ToothNumber, direction: Vec3) => number,
): CrownFrame {
  const row = [...centres].sort((a, b) => toothSortIndex(a[0]) - toothSortIndex(b[0]));
  const points = row.map(([, p]) => p);
  const origin = meanOf(points);
  const across = normalize(sub(points.at(-1)!, points[0]!));
  const spread = Matrix.zeros(3, 3);
  for (const p of points) {
    const d = perpendicularTo(sub(p, origin), across);
    for (let i = 0; i < 3; i += 1)
      for (let j = 0; j < 3; j += 1) spread.set(i, j, spread.get(i, j) + d[i]! * d[j]!);
  }
  const eigen = new EigenvalueDecomposition(spread, { assumeSymmetric: true });
  const largest = [0, 1, 2].sort((a, b) => eigen.realEigenvalues[b]! - eigen.realEigenvalues[a]!)[0]!;
  const bend = Math.sqrt(Math.max(0, eigen.realEigenvalues[largest]!) / points.length);
  const size = Math.sqrt(dot(sub(points.at(-1)!, points[0]!), sub(points.at(-1)!, points[0]!)));
  if (!(bend > LEAST_BEND_SHARE * size)) {
    const helper: Vec3 = Math.abs(across[2]) < Math.SQRT1_2 ? [0, 0, 1] : [0, 1, 0];
    const z = normalize(perpendicularTo(helper, across));
    return { frame: { origin, x: across, y: cross(z, across), z }, occlusalKnown: false };
  }
  let y: Vec3 = normalize(
    perpendicularTo(
      [
        eigen.eigenvectorMatrix.get(0, largest),
        eigen.eigenvectorMatrix.get(1, largest),
        eigen.eigenvectorMatrix.get(2, largest),
      ],
      across,
    ),
  );
  // Teeth nearer the midline stand farther forward: y grows as the digit falls.
  const meanDigit = row.reduce((sum, [tooth]) => sum + digitOf(tooth), 0) / row.length;
  let lean = 0;
  for (const [tooth, p] of row) lean += (meanDigit - digitOf(tooth)) * dot(sub(p, origin), y);
  if (lean < 0) y = scale(y, -1);
  // x, y, z are right-handed in the upper jaw (z down) and left-handed in the lower (z up).
  const z = scale(cross(across, y), jaw === 'upper' ? 1 : -1);
  const tops = Float64Array.from(row, ([tooth]) => topAlong(tooth, z) - dot(origin, z));
  return { frame: { origin: addScaled(origin, z, median(tops)), x: across, y, z }, occlusalKnown: true };
}
