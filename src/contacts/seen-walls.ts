import { closestBetween, type IndexedSurface, indexSurface } from '../geometry/surface-distance.ts';
import type { ClosestPair } from '../geometry/types.ts';
import type { ArchSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import { type PairBorders, type ProximalWall, type WallRegion, wallRegion } from './proximal-wall.ts';
import { FACING_COSINE, WEB_MARGIN_EDGES, WEB_MARGIN_MM, WEB_MARGIN_MOST_MM } from './tolerances.ts';
import type { Web } from './web-between.ts';

/** A pair's walls and borders, found once. */
export interface PairWalls {
  readonly arch: ArchSurface;
  readonly frame: ContactFrame;
  readonly web: Web;
  readonly borders: PairBorders;
  readonly wallA: ProximalWall;
  readonly wallB: ProximalWall;
  /** Median edge of both walls, mm. */
  readonly edgeMm: number;
}

/** The usable regions of both walls at one gum margin, with their trees and exact closest points. */
export interface SeenWalls {
  readonly regionA: WallRegion;
  readonly regionB: WallRegion;
  readonly surfaceA: IndexedSurface;
  readonly surfaceB: IndexedSurface;
  readonly nearest: ClosestPair;
}

/** Distance to keep from a web: on coarse meshes its rounding reaches farther, up to a limit. */
export function webMarginMm(leastMm: number, edgeMm: number): number {
  return Math.max(leastMm, Math.min(WEB_MARGIN_EDGES * edgeMm, WEB_MARGIN_MOST_MM));
}

/** What both walls show beyond a gum margin (and beyond a partial web); null when one shows nothing. */
export function seenWalls(walls: PairWalls, gumMm: number): SeenWalls | null {
  const webMm = walls.web.state === 'none' ? 0 : webMarginMm(WEB_MARGIN_MM, walls.edgeMm);
  const margins = { gumMm, webMm, facing: FACING_COSINE };
  const regionA = wallRegion(walls.arch, walls.wallA, margins);
  const regionB = wallRegion(walls.arch, walls.wallB, margins);
  if (regionA.triangles.length === 0 || regionB.triangles.length === 0) return null;
  const surfaceA = indexSurface(walls.arch.mesh, regionA.triangles);
  const surfaceB = indexSurface(walls.arch.mesh, regionB.triangles);
  return { regionA, regionB, surfaceA, surfaceB, nearest: closestBetween(surfaceA, surfaceB) };
}
