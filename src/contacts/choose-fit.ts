import type { Vec3 } from '../geometry/types.ts';
import { FIT_LEVELS, type FitLevel, type FitRefusal, fitOpenGap, type OpenGap } from './open-gap.ts';
import { type PairWalls, type SeenWalls, seenWalls } from './seen-walls.ts';
import { FOOT_GUM_MM, GUM_MARGIN_MM, NEAR_MARGIN_MM } from './tolerances.ts';

/** The accepted fit, or why the first level was refused; and the walls it was made on. */
export interface ChosenFit {
  readonly fit: OpenGap | null;
  readonly refusal: FitRefusal | null;
  readonly seen: SeenWalls;
}

/** Walls at each gum margin, cut out when first asked for. */
type WallsAt = (gumMm: number) => SeenWalls | null;

/**
 * Tries the levels in order until one is accepted. Where the feet of the first level lie close to its gum margin, the
 * levels that use more of the wall are asked too, from those feet: a minimum at the end of the data is drawn towards
 * the data (trials on closed-form walls cut there: +4 to +8 um, nothing with the smaller margin).
 */
export function chooseFit(walls: PairWalls, first: SeenWalls, radiusMm: number, edgeMm: number): ChosenFit {
  const cut = new Map<number, SeenWalls | null>([[GUM_MARGIN_MM, first]]);
  const wallsAt: WallsAt = (gumMm) => {
    const known = cut.get(gumMm);
    if (known !== undefined) return known;
    const seen = seenWalls(walls, gumMm);
    cut.set(gumMm, seen);
    return seen;
  };
  const attempt = (level: FitLevel, start: readonly [Vec3, Vec3] | null): ChosenFit | null => {
    const seen = wallsAt(level.gumMarginMm);
    if (seen === null) return null;
    const from = start ?? [seen.nearest.a, seen.nearest.b];
    const { arch, borders, frame } = walls;
    const radius = level.windowShare * radiusMm;
    const { regionA, regionB, nearest } = seen;
    const fit = fitOpenGap(
      arch,
      regionA,
      regionB,
      borders,
      frame,
      from,
      nearest.distanceMm,
      level,
      radius,
      edgeMm,
    );
    return typeof fit === 'string' ? { fit: null, refusal: fit, seen } : { fit, refusal: null, seen };
  };
  let refusal: FitRefusal | null = null;
  for (const level of FIT_LEVELS) {
    const tried = attempt(level, null);
    if (tried === null) continue;
    if (tried.fit !== null) {
      return (level === FIT_LEVELS[0] ? nearerTheGum(tried.fit, attempt) : null) ?? tried;
    }
    refusal ??= tried.refusal;
    // A surface that rough is not helped by another window.
    if (tried.refusal === 'rough') break;
  }
  return { fit: null, refusal, seen: first };
}

/** The same space from more of the wall, when the feet are close to the margin and more can be used. */
function nearerTheGum(
  fit: OpenGap,
  attempt: (level: FitLevel, start: readonly [Vec3, Vec3]) => ChosenFit | null,
): ChosenFit | null {
  if (fit.footGumMm >= GUM_MARGIN_MM + NEAR_MARGIN_MM) return null;
  for (const level of FIT_LEVELS.slice(1, 3)) {
    const tried = attempt(level, [fit.pointA, fit.pointB]);
    if (tried?.fit && tried.fit.footGumMm >= FOOT_GUM_MM) return tried;
  }
  return null;
}
