import { distance } from '../geometry/vec3.ts';
import type { LandedSet } from './land-clicks.ts';
import type { KnownState } from './solve-coarse.ts';
import type { Click, ClickSet, Segmentation, SegmentationMemory, ToothNumber } from './types.ts';

/** An earlier answer that clicks were only added to since. */
export interface EarlierAnswer {
  readonly labels: Uint8Array;
  readonly memory: SegmentationMemory;
}

/** The earlier answer where it is a beginning of the present clicks; null after any other change. */
export function earlierAnswer(previous: Segmentation | null, clicks: ClickSet): EarlierAnswer | null {
  const memory = previous?.memory;
  if (!memory || !addedClicks(memory.clicks, clicks.clicks) || !sameTeeth(memory.missing, clicks.missing)) {
    return null;
  }
  return { labels: previous.labels, memory };
}

/** True when the earlier clicks are the first of the present ones, unchanged. */
function addedClicks(earlier: readonly Click[], present: readonly Click[]): boolean {
  return earlier.every((click, k) => {
    const now = present[k];
    return now?.tooth === click.tooth && distance(now.point, click.point) === 0;
  });
}

function sameTeeth(earlier: readonly ToothNumber[], present: readonly ToothNumber[]): boolean {
  return earlier.length === present.length && earlier.every((tooth) => present.includes(tooth));
}

/** Whether labels are the answer to these very clicks and absent teeth. */
export function answersClicks({ memory }: Segmentation, { clicks, missing }: ClickSet): boolean {
  return (
    memory !== undefined &&
    memory.clicks.length === clicks.length &&
    addedClicks(memory.clicks, clicks) &&
    sameTeeth(memory.missing, missing)
  );
}

/** Earlier answer in terms of the present teeth. */
export function knownState({ memory }: EarlierAnswer, landed: LandedSet): KnownState {
  const index = indexOfTooth(landed);
  const added = landed.clicks.slice(memory.clicks.length);
  return {
    z: memory.z,
    places: landed.teeth.map((tooth) => memory.places.find((place) => place.tooth === tooth.tooth) ?? null),
    frames: landed.teeth.map((tooth) => memory.frames.find((frame) => frame.tooth === tooth.tooth) ?? null),
    labels: memory.nodeLabels.map((label) => index[label]!),
    corrections: added.filter((click) => click.correction).map((click) => click.point),
  };
}

/** Label of each ISO number: 0 = gum, t + 1 = tooth t. */
export function indexOfTooth(landed: LandedSet): Uint8Array {
  const index = new Uint8Array(256);
  landed.teeth.forEach((tooth, t) => {
    index[tooth.tooth] = t + 1;
  });
  return index;
}

/** ISO number of each label, the reverse of {@link indexOfTooth}. */
export function numberOfLabel(landed: LandedSet): Uint8Array {
  return Uint8Array.from([0, ...landed.teeth.map((tooth) => tooth.tooth)]);
}
