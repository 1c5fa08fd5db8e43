import type { ToothMap, ToothNumber } from '../../src/teeth/types.ts';

/** How the label of one tooth lies over its truth. */
export interface ToothOverlap {
  /** Intersection over union by area (Jaccard 1912); 0 when the labels do not have the tooth at all. */
  readonly iou: number;
  /** Where the difference went, as shares of the tooth's true area. */
  readonly lostToGum: number;
  readonly lostToTeeth: number;
  readonly takenFromGum: number;
  readonly takenFromTeeth: number;
}

/**
 * Compares labels with the truth, for every tooth of the truth in order of numbers.
 *
 * @param area - per triangle, mm^2
 * @param truth - ISO number per triangle, 0 = no tooth
 */
export function toothOverlap(
  area: Float32Array,
  truth: ToothMap,
  labels: ToothMap,
): ReadonlyMap<ToothNumber, ToothOverlap> {
  const common = new Float64Array(256);
  const lostToGum = new Float64Array(256);
  const lostToTeeth = new Float64Array(256);
  const takenFromGum = new Float64Array(256);
  const takenFromTeeth = new Float64Array(256);
  for (let t = 0; t < area.length; t += 1) {
    const is = truth[t]!;
    const said = labels[t]!;
    if (is === said) common[is]! += area[t]!;
    else {
      (said === 0 ? lostToGum : lostToTeeth)[is]! += area[t]!;
      (is === 0 ? takenFromGum : takenFromTeeth)[said]! += area[t]!;
    }
  }
  const teeth = [...new Set(truth)].filter((tooth) => tooth !== 0).sort((a, b) => a - b);
  return new Map(
    teeth.map((tooth) => {
      const own = common[tooth]! + lostToGum[tooth]! + lostToTeeth[tooth]!;
      const either = own + takenFromGum[tooth]! + takenFromTeeth[tooth]!;
      const share = (part: Float64Array, whole: number): number => (whole > 0 ? part[tooth]! / whole : 0);
      return [
        tooth,
        {
          iou: share(common, either),
          lostToGum: share(lostToGum, own),
          lostToTeeth: share(lostToTeeth, own),
          takenFromGum: share(takenFromGum, own),
          takenFromTeeth: share(takenFromTeeth, own),
        },
      ];
    }),
  );
}
