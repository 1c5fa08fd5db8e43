import { dot, sub } from '../geometry/vec3.ts';
import { templatePlace } from './arch-template.ts';
import type { PlacedTooth } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { SEGMENT } from './segment-settings.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Jaw, OcclusalFrame, ToothWarning } from './types.ts';

/** A border between two teeth that is at least this long and this little folded (0 = sharp fold, 1 = none). */
const LEAST_BORDER_MM = 3;
const NO_FOLD_SHARE = 0.5;
/** Share of a textbook crown's surface below which a region can't be a whole crown. */
const SMALL_SHARE = 0.4;
/** Teeth needed on both sides before the order of the numbers is judged, and how much better a mirror must fit. */
const MIRROR_LEAST_TEETH = 6;
const MIRROR_BETTER = 3;

/**
 * Looks for what a wrong click does to the labels, and says it in a sentence.
 *
 * @param labels - per node of the coarse graph, 0 = gum, t + 1 = tooth t
 */
export function checkSegmentation(
  base: TeethBase,
  labels: Uint8Array,
  teeth: readonly PlacedTooth[],
  frame: OcclusalFrame,
  jaw: Jaw,
): ToothWarning[] {
  return [
    ...checkOrder(teeth, frame, jaw),
    ...checkFolds(base, labels, teeth),
    ...checkAreas(base, labels, teeth),
  ];
}

/** Numbers that fit a mirrored arch far better: the wrong jaw or the wrong side was taken. */
function checkOrder(teeth: readonly PlacedTooth[], frame: OcclusalFrame, jaw: Jaw): ToothWarning[] {
  if (teeth.length < MIRROR_LEAST_TEETH) return [];
  const seen = teeth.map((tooth) => {
    const d = sub(tooth.point, frame.origin);
    return [dot(d, frame.x), dot(d, frame.y)] as const;
  });
  const meant = teeth.map((tooth) => templatePlace(tooth.tooth, jaw));
  const asMeant = planarMisfit(seen, meant);
  const mirrored = planarMisfit(
    seen,
    meant.map(([x, y]) => [-x, y] as const),
  );
  if (asMeant < MIRROR_BETTER * mirrored) return [];
  const other = jaw === 'upper' ? 'lower' : 'upper';
  return [
    {
      code: 'NUMBERS_MIRRORED',
      tooth: null,
      sentence: `The numbers run the wrong way round this arch: it looks like a ${other} jaw, or right and left are exchanged. Check the jaw and the numbers.`,
    },
  ];
}

/** Mean squared distance after the best rotation, shift and scale in the plane. */
function planarMisfit(
  seen: readonly (readonly [number, number])[],
  meant: readonly (readonly [number, number])[],
): number {
  const n = seen.length;
  const mean = (points: readonly (readonly [number, number])[], k: 0 | 1): number =>
    points.reduce((sum, point) => sum + point[k], 0) / n;
  const [sx, sy, mx, my] = [mean(seen, 0), mean(seen, 1), mean(meant, 0), mean(meant, 1)];
  let cosine = 0;
  let sine = 0;
  let seenSize = 0;
  let meantSize = 0;
  seen.forEach(([x, y], k) => {
    const [u, v] = [x - sx, y - sy];
    const [p, q] = [meant[k]![0] - mx, meant[k]![1] - my];
    cosine += u * p + v * q;
    sine += v * p - u * q;
    seenSize += u * u + v * v;
    meantSize += p * p + q * q;
  });
  return (seenSize - (cosine * cosine + sine * sine) / meantSize) / n;
}

/** Two teeth without a fold between them are two clicks on one crown. */
function checkFolds(base: TeethBase, labels: Uint8Array, teeth: readonly PlacedTooth[]): ToothWarning[] {
  const { nodeCount, start, target, lengthMm, curvature } = base.graph;
  const size = teeth.length + 1;
  const length = new Float64Array(size * size);
  const weight = new Float64Array(size * size);
  for (let i = 0; i < nodeCount; i++) {
    const own = labels[i]!;
    if (own === 0) continue;
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const there = labels[target[arc]!]!;
      if (there <= own) continue;
      const cell = own * size + there;
      length[cell] = length[cell]! + lengthMm[arc]!;
      weight[cell] =
        weight[cell]! + lengthMm[arc]! * Math.exp(Math.min(0, curvature[arc]!) / SEGMENT.curvatureScale);
    }
  }
  const warnings: ToothWarning[] = [];
  for (let a = 1; a < size; a++) {
    for (let b = a + 1; b < size; b++) {
      const cell = a * size + b;
      if (length[cell]! < LEAST_BORDER_MM || weight[cell]! < NO_FOLD_SHARE * length[cell]!) continue;
      const [one, two] = [teeth[a - 1]!.tooth, teeth[b - 1]!.tooth];
      warnings.push({
        code: 'NO_FOLD_BETWEEN',
        tooth: two,
        sentence: `No fold parts ${one} from ${two}: both clicks may lie on one crown. Remove one of them or move it.`,
      });
    }
  }
  return warnings;
}

/** Regions too small for a crown: a click on the gum, on a neighbour, or on a tooth that is hardly through. */
function checkAreas(base: TeethBase, labels: Uint8Array, teeth: readonly PlacedTooth[]): ToothWarning[] {
  const area = new Float64Array(teeth.length + 1);
  for (let i = 0; i < labels.length; i++) area[labels[i]!] = area[labels[i]!]! + base.graph.area[i]!;
  return teeth.flatMap(({ tooth }, t): ToothWarning[] => {
    const { crownMm, mesiodistalMm, buccolingualMm } = textbookSize(tooth);
    const expected = mesiodistalMm * buccolingualMm + crownMm * (mesiodistalMm + buccolingualMm);
    if (area[t + 1]! >= SMALL_SHARE * expected) return [];
    const found = area[t + 1]!.toFixed(0);
    return [
      {
        code: 'TOOTH_REGION_SMALL',
        tooth,
        sentence: `Only ${found} mm² were found for ${tooth}, where a crown has about ${expected.toFixed(0)} mm². Click the middle of its crown, or add a click where it is missing.`,
      },
    ];
  });
}
