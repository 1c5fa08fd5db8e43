import { closestBetween, indexSurface, letGoSurfaces } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import { lerp } from '../geometry/vec3.ts';
import { fitPatch, patchAt, type WallPatch, type WindowPoints } from './fit-patch.ts';
import { windowFrame, windowPoints } from './fit-window.ts';
import { type ProximalWall, type WallRegion, wallRegion } from './proximal-wall.ts';
import type { PairWalls } from './seen-walls.ts';
import {
  FACING_COSINE,
  TREND_AHEAD_MM,
  TREND_ASIDE_MM,
  TREND_BANDS_MM,
  TREND_STEP_MM,
  TREND_WINDOW_MM,
} from './tolerances.ts';

/** Fewer points of a wall in the window do not show where it goes. */
const LEAST_POINTS = 12;
const ASIDE_STEP_MM = 0.1;
/** The lowest place of a wall leaves out this share of its points. */
const LOWEST_SHARE = 0.05;

/**
 * The space that the walls would leave a little under the gum if they went on as they are last seen. Next to the gum
 * paraboloids are fitted to both walls where they come nearest; their distance at the lowest place that both show is
 * carried on by its slope, if that falls, for {@link TREND_AHEAD_MM}. Two margins from the gum are tried, as labels
 * that run up on the gum bend the walls inwards: the larger result is given, so that every margin that still shows both
 * walls has to agree that they close in; one that shows none says nothing either way.
 *
 * @param across - unit direction of the measured space, A to B
 * @returns mm, along `across`; null where no band shows both walls
 */
export function spaceUnderGum(walls: PairWalls, across: Vec3): number | null {
  let most: number | null = null;
  for (const [leastMm, mostMm] of TREND_BANDS_MM) {
    const ahead = spaceBelowBand(walls, across, leastMm, mostMm);
    if (ahead !== null) most = Math.max(most ?? ahead, ahead);
  }
  return most;
}

function spaceBelowBand(walls: PairWalls, across: Vec3, leastMm: number, mostMm: number): number | null {
  const { arch, wallA, wallB, frame } = walls;
  const usable = (wall: ProximalWall) =>
    wallRegion(arch, wall, { gumMm: leastMm, webMm: 0, facing: FACING_COSINE });
  const [a, b] = [usable(wallA), usable(wallB)];
  const [bandA, bandB] = [a, b].map((region) => band(walls, region, mostMm));
  if (!bandA?.length || !bandB?.length) return null;
  const [surfaceA, surfaceB] = [indexSurface(arch.mesh, bandA), indexSurface(arch.mesh, bandB)];
  const near = closestBetween(surfaceA, surfaceB);
  letGoSurfaces(surfaceA, surfaceB);
  const window = windowFrame(lerp(near.a, near.b, 0.5), across, frame.o);
  const depth = TREND_WINDOW_MM + near.distanceMm / 2;
  const pointsA = windowPoints(arch, a, window, TREND_WINDOW_MM, depth, 1);
  const pointsB = windowPoints(arch, b, window, TREND_WINDOW_MM, depth, -1);
  if (Math.min(pointsA.count, pointsB.count) < LEAST_POINTS) return null;
  const fitA = fitPatch(pointsA, 2, TREND_WINDOW_MM, walls.edgeMm);
  const fitB = fitPatch(pointsB, 2, TREND_WINDOW_MM, walls.edgeMm);
  if (fitA === null || fitB === null) return null;
  const low = Math.max(lowest(pointsA), lowest(pointsB));
  const here = leastAcross(fitA.patch, fitB.patch, low);
  const above = leastAcross(fitA.patch, fitB.patch, low + TREND_STEP_MM);
  const slope = Math.max(0, (above - here) / TREND_STEP_MM);
  return here - slope * TREND_AHEAD_MM;
}

/** Triangles of a region all of whose corners lie nearer to the gum than that. */
function band({ arch }: PairWalls, { wall, places, triangles }: WallRegion, mostMm: number): Uint32Array {
  const inside = new Set<number>();
  for (const place of places) if (wall.gumMm[place]! < mostMm) inside.add(wall.vertices[place]!);
  const corners = arch.mesh.triangles;
  const within: number[] = [];
  for (const t of triangles) {
    const [a, b, c] = [corners[3 * t]!, corners[3 * t + 1]!, corners[3 * t + 2]!];
    if (inside.has(a) && inside.has(b) && inside.has(c)) within.push(t);
  }
  return Uint32Array.from(within);
}

/** Where a wall ends towards the gum, window height, mm. */
function lowest({ uvz, count }: WindowPoints): number {
  const heights = new Float64Array(count);
  for (let i = 0; i < count; i += 1) heights[i] = uvz[3 * i + 1]!;
  heights.sort();
  return heights[Math.floor(LOWEST_SHARE * count)]!;
}

/** Least distance of two patches at one height, mm. */
function leastAcross(a: WallPatch, b: WallPatch, v: number): number {
  let least = Number.POSITIVE_INFINITY;
  const steps = Math.round(TREND_ASIDE_MM / ASIDE_STEP_MM);
  for (let i = -steps; i <= steps; i += 1) {
    const u = i * ASIDE_STEP_MM;
    least = Math.min(least, patchAt(b, u, v).z - patchAt(a, u, v).z);
  }
  return least;
}
