import { gatherPoints } from '../geometry/gather-points.ts';
import { letGo } from '../geometry/let-go.ts';
import { makePointGrid, type PointGrid } from '../geometry/point-grid.ts';
import { closestPoint, letGoSurfaces } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot, vertexAt } from '../geometry/vec3.ts';
import { type ArchSurface, medianEdgeOf, type ToothSurface } from './arch-surface.ts';
import { boundAllowance } from './bound-allowance.ts';
import { chooseFit } from './choose-fit.ts';
import { patchClearance, rayClearance, regionPoints } from './closing-clearance.ts';
import { spaceUnderGum } from './closing-trend.ts';
import type { ContactFrame } from './contact-frame.ts';
import { coarseDecision, coarseGap } from './decide.ts';
import { gapEstimate, scannerTerms, underGumMm } from './gap-budget.ts';
import { FIT_LEVELS, type FitRefusal, gapDirection, type OpenGap } from './open-gap.ts';
import { type ProximalWall, pairBorders, proximalWall, wallRegion } from './proximal-wall.ts';
import { rimBound } from './rim-bound.ts';
import { neverBridgedMm } from './scanner-profile.ts';
import { type PairWalls, type SeenWalls, seenWalls } from './seen-walls.ts';
import {
  FACING_COSINE,
  FLANK_REACH_EDGES,
  FLANK_REACH_MM,
  FLANKED_SHARE,
  FOOT_CUT_MM,
  FOOT_GUM_MM,
  GUM_MARGIN_MM,
  LEAST_SURFACE_POINTS,
  LOW_WEB_HEIGHT_MM,
  MOST_EDGE_MM,
  NOTED_ANGLE_RAD,
  RIM_NOISE_MM,
  SPECK_MM,
  SPIKE_MM,
  SPIKE_SIGMAS,
  SURFACE_SIGMAS,
  TREND_LEAST_MM,
  WEB_FOOT_MM,
  WINDOW_EDGES,
  WINDOW_LEAST_MM,
  WINDOW_MOST_MM,
} from './tolerances.ts';
import { tornBetween } from './torn-between.ts';
import type { BridgeState, GapEstimate, NoteCode, ScannerProfile } from './types.ts';
import { expandedMm } from './uncertainty.ts';
import { type Web, webBetween } from './web-between.ts';

/** Everything the scan says about one pair; what it does not say is null. Scan frame, mm. */
export interface PairMeasurement {
  readonly gap: GapEstimate | null;
  readonly upperBoundMm: number | null;
  readonly nearestMm: number | null;
  readonly clearanceMm: number | null;
  readonly bridge: BridgeState;
  readonly bridgeHeightMm: number | null;
  readonly bridgeWidthMm: number | null;
  readonly pointA: Vec3 | null;
  readonly pointB: Vec3 | null;
  readonly angleRad: number | null;
  readonly coarseEdgeMm: number | null;
  readonly notes: readonly NoteCode[];
  /** The fitted walls behind the number, for the picture; null when there is none. */
  readonly fit: OpenGap | null;
}

/** A pair of which the scan says nothing. */
export const NOTHING_SEEN: PairMeasurement = {
  gap: null,
  upperBoundMm: null,
  nearestMm: null,
  clearanceMm: null,
  bridge: 'none',
  bridgeHeightMm: null,
  bridgeWidthMm: null,
  pointA: null,
  pointB: null,
  angleRad: null,
  coarseEdgeMm: null,
  notes: [],
  fit: null,
};

/**
 * Measures one pair of neighbours.
 * @param frame - directions at the contact, t from A to B
 * @param limitMm - only a coarse scan's number depends on it
 */
export function measurePair(
  arch: ArchSurface,
  toothA: ToothSurface,
  toothB: ToothSurface,
  frame: ContactFrame,
  scanner: ScannerProfile,
  limitMm: number,
): PairMeasurement {
  if (tornBetween(toothA, toothB)) return { ...NOTHING_SEEN, notes: ['torn'] };
  const web = webBetween(arch, toothA.tooth, toothB.tooth, frame);
  const { doubtful } = web;
  const result = measureBeside(wallsBeside(arch, toothA, toothB, frame, web), scanner, limitMm);
  if (doubtful === null || showsSpace(result)) return result;
  // Nothing above the low border proved to be a space of its own: it may be a web, and what it hides is not known.
  const low = bridged(wallsBeside(arch, toothA, toothB, frame, doubtful), scanner, true);
  return { ...low, notes: [...low.notes, 'low-web'] };
}

/** A space of its own was measured, whatever the limit; on a coarse scan one of many edges. */
function showsSpace({ gap, bridge, nearestMm, coarseEdgeMm }: PairMeasurement): boolean {
  if (coarseEdgeMm === null || nearestMm === null) return gap !== null;
  return bridge === 'none' && coarseGap(nearestMm, coarseEdgeMm, 0) !== null;
}

/** The triangles of a wall as far as it faces the neighbour. */
function facingTriangles(arch: ArchSurface, wall: ProximalWall): Uint32Array {
  return wallRegion(arch, wall, { gumMm: 0, webMm: 0, facing: FACING_COSINE }).triangles;
}

/** Share of a web's ridge that has a facing wall of both teeth beside it. */
function flankedShare({ arch, web, wallA, wallB, edgeMm }: PairWalls): number {
  const reach = Math.max(FLANK_REACH_MM, FLANK_REACH_EDGES * edgeMm);
  const { positions } = arch.mesh;
  const a = makePointGrid(gatherPoints(positions, wallA.vertices), reach);
  const b = makePointGrid(gatherPoints(positions, wallB.vertices), reach);
  const count = web.ridge.length / 3;
  let both = 0;
  for (let i = 0; i < count; i += 1) {
    const [x, y, z] = vertexAt(web.ridge, i);
    if (a.isNear(x, y, z) && b.isNear(x, y, z)) both += 1;
  }
  return both / count;
}

/** Walls and borders of a pair, for one reading of what joins the teeth. */
function wallsBeside(
  arch: ArchSurface,
  toothA: ToothSurface,
  toothB: ToothSurface,
  frame: ContactFrame,
  web: Web,
): PairWalls {
  const borders = pairBorders(toothA, toothB, web);
  const wallA = proximalWall(arch, toothA, frame, 1, borders);
  const wallB = proximalWall(arch, toothB, frame, -1, borders);
  const facing = [facingTriangles(arch, wallA), facingTriangles(arch, wallB)] as const;
  const both = new Uint32Array(facing[0].length + facing[1].length);
  both.set(facing[0]);
  both.set(facing[1], facing[0].length);
  const edgeMm = medianEdgeOf(arch.mesh, both);
  letGo(...facing, both);
  return { arch, frame, web, borders, wallA, wallB, edgeMm };
}

function measureBeside(walls: PairWalls, scanner: ScannerProfile, limitMm: number): PairMeasurement {
  const { state } = walls.web;
  if (state !== 'none' && flankedShare(walls) < FLANKED_SHARE) {
    return { ...NOTHING_SEEN, notes: ['labels-cross'] };
  }
  if (state === 'full') return bridged(walls, scanner);
  const seen = seenWalls(walls, GUM_MARGIN_MM);
  if (seen !== null) {
    const measured = measureSeen(walls, seen, scanner, limitMm);
    letGoSurfaces(seen.surfaceA, seen.surfaceB);
    return measured;
  }
  if (state === 'partial') return bridged(walls, scanner);
  return { ...NOTHING_SEEN, notes: ['one-sided'] };
}

/**
 * Nothing behind a web was seen: the bound is all there is.
 * @param doubtful - the web may be labels that met over the papilla: then its rim is taken higher up whatever its height,
 *   and what scanners never bridge says nothing
 */
function bridged(walls: PairWalls, scanner: ScannerProfile, doubtful = false): PairMeasurement {
  const { web, arch, wallA, wallB } = walls;
  const capMm = (doubtful ? null : neverBridgedMm(scanner)) ?? Number.POSITIVE_INFINITY;
  const bound = rimBound(arch, wallA, wallB, walls.edgeMm, capMm, {
    low: doubtful || (web.heightMm !== null && web.heightMm < LOW_WEB_HEIGHT_MM),
    noiseMm: scanner.noiseAllowanceMm,
    scannerU95Mm: narrowU95Mm(scanner),
  });
  const known = bound !== null && Number.isFinite(bound.mm);
  return {
    ...NOTHING_SEEN,
    upperBoundMm: known ? bound.mm : null,
    bridge: web.state,
    bridgeHeightMm: web.heightMm,
    bridgeWidthMm: web.widthMm,
    pointA: web.middle,
    pointB: web.middle,
    notes: known ? (bound.basis === 'scanner' ? ['bound-scanner'] : []) : ['no-bound'],
  };
}

/** Both walls were seen, perhaps beside a small web. */
function measureSeen(
  walls: PairWalls,
  seen: SeenWalls,
  scanner: ScannerProfile,
  limitMm: number,
): PairMeasurement {
  const { web, edgeMm } = walls;
  const base: PairMeasurement = {
    ...NOTHING_SEEN,
    nearestMm: seen.nearest.distanceMm,
    bridge: web.state,
    bridgeHeightMm: web.heightMm,
    bridgeWidthMm: web.widthMm,
    pointA: seen.nearest.a,
    pointB: seen.nearest.b,
    notes: web.state === 'partial' ? ['partial'] : [],
  };
  if (edgeMm > MOST_EDGE_MM) return coarse(base, walls, seen, edgeMm, limitMm);
  const radiusMm = Math.min(Math.max(WINDOW_EDGES * edgeMm, WINDOW_LEAST_MM), WINDOW_MOST_MM);
  const { fit, refusal, seen: used } = chooseFit(walls, seen, radiusMm, edgeMm);
  if (fit === null) {
    if (web.state === 'partial') return bridged(walls, scanner);
    const upperBoundMm = boundOfSeen(walls, seen, scanner);
    const notes = [...base.notes, whyRefused(walls, seen, refusal)];
    return { ...base, upperBoundMm, notes: upperBoundMm === null ? [...notes, 'no-bound'] : notes };
  }
  if (web.state === 'partial' && fit.footWebMm <= WEB_FOOT_MM) return bridged(walls, scanner);
  const estimate = gapEstimate(fit, scanner);
  const clearance = closing(walls, used, fit, radiusMm, edgeMm);
  const angleRad = Math.acos(Math.min(1, Math.abs(dot(gapDirection(fit), walls.frame.t))));
  const notes: NoteCode[] = [...base.notes];
  const shortOf = fit.valueMm - seen.nearest.distanceMm;
  const nearerMm = Math.max(SPIKE_MM, SPIKE_SIGMAS * fit.residualMm);
  const spike = shortOf > nearerMm;
  if (spike) notes.push('spike');
  if (fit.level !== FIT_LEVELS[0]) notes.push('fallback');
  if (angleRad > NOTED_ANGLE_RAD) notes.push('angle');
  const measured = { ...base, pointA: fit.pointA, pointB: fit.pointB, angleRad, clearanceMm: clearance, fit };
  const nearGum = fit.footGumMm < FOOT_GUM_MM;
  const nearCut = fit.footCutMm < FOOT_CUT_MM;
  if (nearGum || nearCut) {
    if (nearGum) notes.push('near-gum');
    if (nearCut) notes.push('near-edge');
    const fitted = estimate.valueMm + estimate.u95Mm;
    const upperBoundMm = Math.min(fitted, boundOfSeen(walls, seen, scanner) ?? fitted);
    return { ...measured, upperBoundMm: Math.max(0, upperBoundMm), notes, fit: null };
  }
  const underMm = spaceUnderGum(walls, fit.window.w);
  const closes = underMm !== null && underMm < fit.valueMm - Math.min(estimate.u95Mm, TREND_LEAST_MM);
  const surface =
    spike && reachesNearer(walls, used, fit.valueMm - Math.max(SPIKE_MM, SURFACE_SIGMAS * fit.residualMm));
  if (closes || surface) {
    // What lies behind the web or under the gum is nearer than what was fitted: what was fitted bounds it.
    notes.push('closes-in');
    return { ...measured, upperBoundMm: estimate.valueMm + estimate.u95Mm, notes, fit: null };
  }
  const whole: OpenGap = { ...fit, underGumMm: underMm === null ? 0 : underGumMm(underMm - fit.valueMm) };
  return { ...measured, fit: whole, gap: gapEstimate(whole, scanner), notes };
}

/** Whether more of wall A than a speck lies within a distance of wall B. */
function reachesNearer({ arch }: PairWalls, { regionA, surfaceB }: SeenWalls, withinMm: number): boolean {
  const near: Vec3[] = [];
  for (const place of regionA.places) {
    const p = vertexAt(arch.mesh.positions, regionA.wall.vertices[place]!);
    if (closestPoint(surfaceB, p, withinMm) !== null) near.push(p);
  }
  return near.length >= LEAST_SURFACE_POINTS && near.some((p) => near.some((q) => distance(p, q) > SPECK_MM));
}

/**
 * Why there is no number where the closest place lies at the end of what is seen: the border that it lies at, and none of
 * them where a wall simply is not seen farther.
 */
function whyRefused(walls: PairWalls, { nearest }: SeenWalls, refusal: FitRefusal | null): NoteCode {
  if (refusal === 'rough' || refusal === 'uncertain') return refusal;
  if (refusal === 'gum-edge') return 'near-gum';
  const { gum, cut } = walls.borders;
  const fromMm = (border: PointGrid): number =>
    Math.min(border.distanceTo(nearest.a), border.distanceTo(nearest.b));
  // What is seen ends a margin off the gum, and up to an edge before that.
  if (fromMm(cut) < FOOT_CUT_MM + walls.edgeMm) return 'near-edge';
  return fromMm(gum) < GUM_MARGIN_MM + walls.edgeMm ? 'near-gum' : 'not-seen';
}

/**
 * What is seen of the walls comes this near: the true space may be smaller, not larger, than this. Null where too little
 * of a wall is seen to tell its noise.
 */
function boundOfSeen({ arch, edgeMm }: PairWalls, seen: SeenWalls, scanner: ScannerProfile): number | null {
  const { regionA, regionB, nearest } = seen;
  const leastMm = scanner.noiseAllowanceMm ?? RIM_NOISE_MM;
  const allowance = boundAllowance(arch, regionA, regionB, nearest, edgeMm, leastMm, narrowU95Mm(scanner));
  return allowance === null ? null : nearest.distanceMm + allowance;
}

/** Expanded uncertainty that the scanner's own terms give to a narrow space, mm. */
function narrowU95Mm(scanner: ScannerProfile): number {
  return expandedMm(scannerTerms(0, scanner));
}

/** Edges too long for a fitted wall. */
function coarse(
  base: PairMeasurement,
  walls: PairWalls,
  seen: SeenWalls,
  edgeMm: number,
  limitMm: number,
): PairMeasurement {
  return {
    ...base,
    ...coarseDecision(seen.nearest.distanceMm, edgeMm, walls.web.state, limitMm),
    clearanceMm: closing(walls, seen, null, 0, edgeMm),
    coarseEdgeMm: edgeMm,
    notes: [...base.notes, 'coarse'],
  };
}

/** Clearance along t: by rays, refined on patches where the walls were fitted. */
function closing(
  walls: PairWalls,
  seen: SeenWalls,
  fit: OpenGap | null,
  radiusMm: number,
  edgeMm: number,
): number | null {
  const { arch, frame } = walls;
  const rays = rayClearance(
    regionPoints(arch, seen.regionA),
    seen.surfaceA,
    regionPoints(arch, seen.regionB),
    seen.surfaceB,
    frame.t,
  );
  if (rays === null || fit === null) return rays?.clearanceMm ?? null;
  const { degree, windowShare } = fit.level;
  const radius = windowShare * radiusMm;
  const refined = patchClearance(arch, seen.regionA, seen.regionB, frame, rays, degree, radius, edgeMm);
  return (refined ?? rays).clearanceMm;
}
