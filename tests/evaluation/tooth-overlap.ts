import type { ToothMap, ToothNumber } from '../../src/teeth/types.ts';

/**
 * Intersection over union by area (Jaccard 1912) of every tooth of the truth. A tooth that the labels do not have
 * at all scores 0.
 *
 * @param area - per triangle, mm^2
 * @param truth - ISO number per triangle, 0 = no tooth
 */
export function toothOverlap(
  area: Float32Array,
  truth: ToothMap,
  labels: ToothMap,
): ReadonlyMap<ToothNumber, number> {
  const both = new Float64Array(256);
  const either = new Float64Array(256);
  for (let t = 0; t < area.length; t += 1) {
    const is = truth[t]!;
    const said = labels[t]!;
    either[is]! += area[t]!;
    if (is === said) both[is]! += area[t]!;
    else either[said]! += area[t]!;
  }
  const teeth = [...new Set(truth)].filter((tooth) => tooth !== 0).sort((a, b) => a - b);
  return new Map(teeth.map((tooth) => [tooth, either[tooth]! > 0 ? both[tooth]! / either[tooth]! : 0]));
}
