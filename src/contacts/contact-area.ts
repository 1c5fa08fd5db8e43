import type { IndexedSurface } from '../geometry/surface-distance.ts';
import { cross, length, sub, vertexAt } from '../geometry/vec3.ts';
import { signedCorners } from './signed-corners.ts';

/** Part of a triangle where a linear function with these corner values is at most `level`, 0 to 1. */
export function shareBelow(values: readonly [number, number, number], level: number): number {
  const [low, middle, high] = [...values].sort((x, y) => x - y) as [number, number, number];
  if (level >= high) return 1;
  if (level <= low) return 0;
  if (level <= middle) return (level - low) ** 2 / ((middle - low) * (high - low));
  return 1 - (high - level) ** 2 / ((high - middle) * (high - low));
}

/**
 * Area of a shell that lies within each distance of another shell, overlap included: signed distances at the corners
 * ({@link signedCorners}), taken as linear over each triangle.
 * @param overlapping - as for `signedCorners`
 * @param levelsMm - distances asked about
 * @returns one area per level, mm^2
 */
export function areaWithin(
  shell: IndexedSurface,
  other: IndexedSurface,
  overlapping: boolean | 'sheet',
  levelsMm: readonly number[],
): number[] {
  const areas = levelsMm.map(() => 0);
  const { values, isKnown } = signedCorners(shell, other, overlapping, Math.max(...levelsMm));
  for (let t = 0; t < isKnown.length; t += 1) {
    if (isKnown[t] === 0) continue;
    const [a, b, c] = [0, 1, 2].map((k) => vertexAt(shell.corners, 3 * t + k)) as [never, never, never];
    const area = length(cross(sub(b, a), sub(c, a))) / 2;
    const at: [number, number, number] = [values[3 * t]!, values[3 * t + 1]!, values[3 * t + 2]!];
    for (let k = 0; k < levelsMm.length; k += 1) areas[k]! += area * shareBelow(at, levelsMm[k]!);
  }
  return areas;
}
