import type { Click } from '../../teeth/types.ts';

/** Clicks `from` to `to` (both included) of a click list that were painted in one go. */
export interface StrokeRun {
  readonly from: number;
  readonly to: number;
}

/** Spacing of painted points along a stroke, mm. */
export const STROKE_SPACING_MM = 0.5;
/** Clicks in a row for the same tooth no farther apart than this were painted, not clicked one by one, mm. */
const STROKE_JOIN_MM = 0.9;

/**
 * The strokes among the clicks: rows of two or more clicks for one tooth (or gum) that follow each other closely. A
 * click file keeps them as ordinary clicks, so strokes are recognised by their spacing. A tooth's first click is
 * never part of one.
 */
export function strokeRuns(clicks: readonly Click[]): StrokeRun[] {
  const seen = new Set<Click['tooth']>(['gum']);
  const runs: StrokeRun[] = [];
  let from = -1;
  clicks.forEach((click, i) => {
    const correction = seen.has(click.tooth);
    seen.add(click.tooth);
    const before = clicks[i - 1];
    const joins =
      from >= 0 && correction && before?.tooth === click.tooth && apart(before, click) <= STROKE_JOIN_MM;
    if (joins) return;
    if (from >= 0 && i - 1 > from) runs.push({ from, to: i - 1 });
    from = correction ? i : -1;
  });
  if (from >= 0 && clicks.length - 1 > from) runs.push({ from, to: clicks.length - 1 });
  return runs;
}

function apart(a: Click, b: Click): number {
  return Math.hypot(a.point[0] - b.point[0], a.point[1] - b.point[1], a.point[2] - b.point[2]);
}
