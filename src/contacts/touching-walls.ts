import { choleskyFactor, choleskySolve } from '../geometry/cholesky.ts';
import { joinPoints } from '../geometry/join-points.ts';
import { makePointGrid } from '../geometry/point-grid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { addScaled, dot, sub, vertexAt } from '../geometry/vec3.ts';
import type { ArchSurface, ToothSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import { basisAt, basisSize } from './patch-basis.ts';
import { FACING_COSINE, GUM_MARGIN_MM } from './tolerances.ts';
import type { Web } from './web-between.ts';

/** Walls are followed between these distances from the web, mm: nearer the surface is the scanner's. */
const NEAREST_MM = 0.3;
const FARTHEST_MM = 0.7;
/** The window reaches this far beyond the web, and at least so far in all, mm. */
const BEYOND_MM = 0.8;
const LEAST_WINDOW_MM = 1.2;
const LEAST_POINTS = 30;
/** So many points of a wall, and of the ridge, count in full; more of them know no more, as their errors go together. */
const FULL_POINTS = 200;
const FULL_RIDGE = 40;
/** Standard deviations: of a wall's points, of the ridge about the middle of both walls, of a touch, mm. */
const WALL_MM = 0.02;
const RIDGE_MM = 0.03;
const TOUCH_MM = 0.01;
/**
 * Standard deviations of the coefficients of a wall by their degree: heights and slopes are free, curvatures nearly; the
 * cubic (1/mm^2) and quartic (1/mm^3) ones are held, as the window is wide and its middle is not seen.
 */
const SPREADS: readonly number[] = [10, 3, 1, 0.02, 0.02];
const DEGREE = 4;
const TERMS = basisSize(DEGREE);
const ROUNDS = 5;
const GRID_MM = 0.1;

/** Two walls that touch behind a web. */
export interface TouchingWalls {
  /** Greatest coordinate of a wall behind the web along `out`, mm: of `A` towards B, of `B` towards A. */
  readonly outermost: (wall: 'A' | 'B', out: Vec3) => number;
}

/**
 * Fits both walls of a bridged contact together, as quartics over the closing direction: their seen parts beside the
 * web, the ridge of the web as the middle between them, and that they touch where they come nearest. It is a
 * reconstruction for tooth widths, which takes the contact for closed; no space is ever read from it.
 *
 * @returns null where there is no web or too little of a wall is seen beside it
 */
export function touchingWalls(
  surface: ArchSurface,
  a: ToothSurface,
  b: ToothSurface,
  frame: ContactFrame,
  web: Web,
): TouchingWalls | null {
  if (web.middle === null || web.widthMm === null || web.heightMm === null) return null;
  const reachMm = Math.max(web.widthMm, web.heightMm) / 2;
  const window = { centre: web.middle, radiusMm: Math.max(LEAST_WINDOW_MM, reachMm + BEYOND_MM) };
  const system = startSystem();
  const beside = makePointGrid(web.border, FARTHEST_MM);
  for (const [wall, tooth] of [a, b].entries()) {
    const gum = makePointGrid(joinPoints(tooth.gumLine, tooth.cutLine), GUM_MARGIN_MM);
    const facing = wall === 0 ? 1 : -1;
    const near = verticesNear(surface, tooth, frame, window.centre, window.radiusMm);
    const rows = new Float64Array(3 * near.length);
    let count = 0;
    for (const v of near) {
      const p = vertexAt(surface.mesh.positions, v);
      const [x, y, z] = placeIn(frame, window.centre, p);
      if (facing * dot(vertexAt(surface.normals, v), frame.t) < FACING_COSINE) continue;
      const off = beside.distanceTo(p);
      if (off < NEAREST_MM || off >= FARTHEST_MM || gum.distanceTo(p) < GUM_MARGIN_MM) continue;
      rows[3 * count] = x;
      rows[3 * count + 1] = y;
      rows[3 * count + 2] = z;
      count += 1;
    }
    if (count < LEAST_POINTS) return null;
    const share = Math.min(1, FULL_POINTS / count) / WALL_MM ** 2;
    for (let i = 0; i < count; i += 1) {
      const [x, y, z] = [rows[3 * i]!, rows[3 * i + 1]!, rows[3 * i + 2]!];
      const inner = 1 - (x * x + y * y) / window.radiusMm ** 2;
      addRow(system, [1 - wall, wall], [x, y], z, inner * share);
    }
  }
  const count = web.ridge.length / 3;
  for (let i = 0; i < count; i += 1) {
    const [x, y, z] = placeIn(frame, window.centre, vertexAt(web.ridge, i));
    addRow(system, [0.5, 0.5], [x, y], z, Math.min(1, FULL_RIDGE / count) / RIDGE_MM ** 2);
  }
  const grid = roundGrid(reachMm);
  const walls = solveTouching(system, grid);
  if (walls === null) return null;
  const { centre } = window;
  return {
    outermost: (wall, out) => outermostOf(wall === 'A' ? walls.a : walls.b, grid, centre, frame, out),
  };
}

/** Vertices of a tooth inside a cylinder about the centre, as high to either side as it is wide. */
function verticesNear(
  { mesh: { positions } }: ArchSurface,
  { vertices }: ToothSurface,
  { b, o, t }: ContactFrame,
  centre: Vec3,
  radiusMm: number,
): number[] {
  const near: number[] = [];
  for (let i = 0; i < vertices.length; i += 1) {
    const v = vertices[i]!;
    const dx = positions[3 * v]! - centre[0];
    const dy = positions[3 * v + 1]! - centre[1];
    const dz = positions[3 * v + 2]! - centre[2];
    const x = dx * b[0] + dy * b[1] + dz * b[2];
    const y = dx * o[0] + dy * o[1] + dz * o[2];
    const z = dx * t[0] + dy * t[1] + dz * t[2];
    if (x * x + y * y >= radiusMm ** 2 || Math.abs(z) > radiusMm) continue;
    near.push(v);
  }
  return near;
}

/** Coordinates across the closing direction and along it, mm. */
function placeIn({ b, o, t }: ContactFrame, centre: Vec3, p: Vec3): [number, number, number] {
  const d = sub(p, centre);
  return [dot(d, b), dot(d, o), dot(d, t)];
}

/** Greatest coordinate of a wall along `out` over the places of the grid, mm. */
function outermostOf(
  terms: Float64Array,
  grid: RoundGrid,
  centre: Vec3,
  { b, o, t }: ContactFrame,
  out: Vec3,
): number {
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < grid.count; i += 1) {
    const flat = addScaled(addScaled(centre, b, grid.x[i]!), o, grid.y[i]!);
    most = Math.max(most, dot(addScaled(flat, t, heightAt(terms, grid, i)), out));
  }
  return most;
}

/** Normal equations of both walls' coefficients, A's before B's. */
interface System {
  readonly matrix: Float64Array;
  readonly right: Float64Array;
}

const BOTH = 2 * TERMS;

function startSystem(): System {
  const matrix = new Float64Array(BOTH * BOTH);
  let k = 0;
  for (const [total, spread] of SPREADS.entries()) {
    for (let j = 0; j <= total; j += 1, k += 1) {
      for (const place of [k, TERMS + k]) matrix[place * BOTH + place] = 1 / spread ** 2;
    }
  }
  return { matrix, right: new Float64Array(BOTH) };
}

/** Scratch of `addRow`, which sets all of it. */
const ROW = new Float64Array(BOTH);

/** Adds the observation shares[0] zA(x, y) + shares[1] zB(x, y) = z. */
function addRow(
  { matrix, right }: System,
  shares: readonly [number, number],
  [x, y]: readonly [number, number],
  z: number,
  weight: number,
): void {
  const row = ROW;
  basisAt(DEGREE, x, y, row);
  for (let k = 0; k < TERMS; k += 1) {
    row[TERMS + k] = shares[1] * row[k]!;
    row[k]! *= shares[0];
  }
  for (let r = 0; r < BOTH; r += 1) {
    const scaled = weight * row[r]!;
    if (scaled === 0) continue;
    right[r]! += scaled * z;
    for (let c = 0; c <= r; c += 1) matrix[r * BOTH + c]! += scaled * row[c]!;
  }
}

/** Places across the closing direction, mm, and at each the terms of a wall's height there. */
interface RoundGrid {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** (count x TERMS) */
  readonly terms: Float64Array;
}

/** Places inside a circle about the middle. */
function roundGrid(radiusMm: number): RoundGrid {
  const steps = Math.floor(radiusMm / GRID_MM);
  const room = (2 * steps + 1) ** 2;
  const x = new Float64Array(room);
  const y = new Float64Array(room);
  let count = 0;
  for (let i = -steps; i <= steps; i += 1) {
    for (let j = -steps; j <= steps; j += 1) {
      if (Math.hypot(i * GRID_MM, j * GRID_MM) > radiusMm) continue;
      x[count] = i * GRID_MM;
      y[count] = j * GRID_MM;
      count += 1;
    }
  }
  const terms = new Float64Array(TERMS * count);
  for (let i = 0; i < count; i += 1) basisAt(DEGREE, x[i]!, y[i]!, terms, TERMS * i);
  return { count, x, y, terms };
}

function heightAt(wall: Float64Array, { terms }: RoundGrid, i: number): number {
  const from = TERMS * i;
  let sum = 0;
  for (let k = 0; k < TERMS; k += 1) sum += terms[from + k]! * wall[k]!;
  return sum;
}

/** Solves without the touch, then with the walls touching where the last solution brings them nearest. */
function solveTouching(free: System, grid: RoundGrid): { a: Float64Array; b: Float64Array } | null {
  let system = free;
  for (let round = 0; ; round += 1) {
    const factor = system.matrix.slice();
    const solution = system.right.slice();
    if (!choleskyFactor(factor, BOTH)) return null;
    choleskySolve(factor, BOTH, solution);
    const [a, b] = [solution.subarray(0, TERMS), solution.subarray(TERMS)];
    if (round === ROUNDS) return { a, b };
    const apart = b.slice();
    for (let k = 0; k < TERMS; k += 1) apart[k]! -= a[k]!;
    let nearest: readonly [number, number] = [0, 0];
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < grid.count; i += 1) {
      const distance = heightAt(apart, grid, i);
      if (distance >= least) continue;
      least = distance;
      nearest = [grid.x[i]!, grid.y[i]!];
    }
    system = { matrix: free.matrix.slice(), right: free.right.slice() };
    addRow(system, [-1, 1], nearest, 0, 1 / TOUCH_MM ** 2);
  }
}
