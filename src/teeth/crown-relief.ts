import { letGo } from '../geometry/let-go.ts';
import type { TriangleMesh } from '../geometry/types.ts';
import { dot } from '../geometry/vec3.ts';
import type { OcclusalFrame } from './types.ts';

interface Grid {
  /** Place of the first cell's middle: x to the patient's left, y to the front, from the frame's origin, mm. */
  readonly x0: number;
  readonly y0: number;
  readonly columns: number;
  readonly rows: number;
}

/**
 * The scan seen from above as a grid of heights, and how far each place stands out of its surroundings: crowns do by
 * several millimetres, gum, palate and ridge hardly.
 */
export interface CrownRelief extends Grid {
  readonly frame: OcclusalFrame;
  /** (rows x columns) height of the topmost surface along z, mm; NaN where the scan has none. */
  readonly height: Float32Array;
  /** (rows x columns) height above the opened surface and the floor, mm; 0 where the scan has none. */
  readonly prominence: Float32Array;
}

/** Side of a cell, mm: embrasures are at least this wide. */
export const RELIEF_CELL_MM = 0.4;
/**
 * Radius of the disk that the surface is opened with, mm: no crown is wide enough both ways to hold it (a molar is
 * some 11 mm across), so crowns vanish from the opened surface and stay in the difference.
 */
const OPENING_RADIUS_MM = 6.8;
/** The opening runs on cells this many times larger: it is smooth anyway. */
const OPENING_STRIDE = 2;

/**
 * Makes the relief of a scan as seen from the crowns' side.
 *
 * @param floorMm - height along z, from the frame's origin, below which nothing counts as crown
 */
export function crownRelief(
  mesh: TriangleMesh,
  frame: OcclusalFrame,
  floorMm = Number.NEGATIVE_INFINITY,
): CrownRelief {
  const at = placesIn(frame, mesh.positions);
  const grid = gridOver(at);
  const { columns, rows } = grid;
  const height = raise(at, mesh.triangles, grid);
  letGo(at);
  const prominence = standOut(height, columns, rows);
  for (let cell = 0; cell < prominence.length; cell++) {
    const out = prominence[cell]!;
    prominence[cell] = out > 0 ? Math.max(0, Math.min(out, height[cell]! - floorMm)) : 0;
  }
  return { frame, ...grid, height, prominence };
}

/** (n x 3) coordinates of points in the frame, mm. In plain numbers: an array of each would be half a million arrays. */
function placesIn(frame: OcclusalFrame, positions: Float32Array): Float32Array {
  const [xx, xy, xz] = frame.x;
  const [yx, yy, yz] = frame.y;
  const [zx, zy, zz] = frame.z;
  const fromX = dot(frame.x, frame.origin);
  const fromY = dot(frame.y, frame.origin);
  const fromZ = dot(frame.z, frame.origin);
  const at = new Float32Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i]!;
    const y = positions[i + 1]!;
    const z = positions[i + 2]!;
    at[i] = xx * x + xy * y + xz * z - fromX;
    at[i + 1] = yx * x + yy * y + yz * z - fromY;
    at[i + 2] = zx * x + zy * y + zz * z - fromZ;
  }
  return at;
}

/** The grid whose cells hold every point. */
function gridOver(at: Float32Array): Grid {
  let x0 = Number.POSITIVE_INFINITY;
  let y0 = Number.POSITIVE_INFINITY;
  let x1 = Number.NEGATIVE_INFINITY;
  let y1 = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < at.length; i += 3) {
    const x = at[i]!;
    const y = at[i + 1]!;
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  const columns = Math.floor((x1 - x0) / RELIEF_CELL_MM) + 2;
  const rows = Math.floor((y1 - y0) / RELIEF_CELL_MM) + 2;
  return { x0, y0, columns, rows };
}

/** Topmost height per cell, from points spread over every triangle no farther apart than a cell. */
function raise(at: Float32Array, triangles: Uint32Array, { x0, y0, columns, rows }: Grid): Float32Array {
  const height = new Float32Array(columns * rows).fill(Number.NaN);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t]!;
    const b = 3 * triangles[t + 1]!;
    const c = 3 * triangles[t + 2]!;
    const widest = Math.max(
      Math.abs(at[a]! - at[b]!),
      Math.abs(at[b]! - at[c]!),
      Math.abs(at[c]! - at[a]!),
      Math.abs(at[a + 1]! - at[b + 1]!),
      Math.abs(at[b + 1]! - at[c + 1]!),
      Math.abs(at[c + 1]! - at[a + 1]!),
    );
    const n = Math.max(1, Math.ceil((2 * widest) / RELIEF_CELL_MM));
    for (let i = 0; i <= n; i++) {
      for (let j = 0; j <= n - i; j++) {
        const u = i / n;
        const v = j / n;
        const w = 1 - u - v;
        const column = Math.round((u * at[a]! + v * at[b]! + w * at[c]! - x0) / RELIEF_CELL_MM);
        const row = Math.round((u * at[a + 1]! + v * at[b + 1]! + w * at[c + 1]! - y0) / RELIEF_CELL_MM);
        const z = u * at[a + 2]! + v * at[b + 2]! + w * at[c + 2]!;
        const cell = row * columns + column;
        if (!(height[cell]! >= z)) height[cell] = z;
      }
    }
  }
  return height;
}

/** Height minus its grey-scale opening with a disk; places without surface neither lower nor raise anything. */
function standOut(height: Float32Array, columns: number, rows: number): Float32Array {
  const wide = Math.ceil(columns / OPENING_STRIDE);
  const tall = Math.ceil(rows / OPENING_STRIDE);
  const lowest = new Float32Array(wide * tall).fill(Number.POSITIVE_INFINITY);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const z = height[row * columns + column]!;
      const cell = Math.floor(row / OPENING_STRIDE) * wide + Math.floor(column / OPENING_STRIDE);
      if (z < lowest[cell]!) lowest[cell] = z;
    }
  }
  const radius = Math.round(OPENING_RADIUS_MM / (RELIEF_CELL_MM * OPENING_STRIDE));
  const eroded = overDisk(lowest, wide, tall, radius, -1);
  const opened = overDisk(eroded, wide, tall, radius, 1);
  const out = new Float32Array(height.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const z = height[row * columns + column]!;
      const cell = Math.floor(row / OPENING_STRIDE) * wide + Math.floor(column / OPENING_STRIDE);
      const ground = opened[cell]!;
      if (z > ground && Number.isFinite(ground)) out[row * columns + column] = z - ground;
    }
  }
  return out;
}

/** Least (sign -1) or greatest (sign 1) finite value within a disk of cells. */
function overDisk(
  values: Float32Array,
  columns: number,
  rows: number,
  radius: number,
  sign: 1 | -1,
): Float32Array {
  const out = new Float32Array(values.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let best = Number.NEGATIVE_INFINITY;
      for (let r = Math.max(0, row - radius); r <= Math.min(rows - 1, row + radius); r++) {
        const half = Math.floor(Math.sqrt(radius * radius - (r - row) ** 2));
        const last = Math.min(columns - 1, column + half);
        for (let c = Math.max(0, column - half); c <= last; c++) {
          const value = sign * values[r * columns + c]!;
          if (value > best && value < Number.POSITIVE_INFINITY) best = value;
        }
      }
      out[row * columns + column] =
        best === Number.NEGATIVE_INFINITY ? Number.POSITIVE_INFINITY : sign * best;
    }
  }
  return out;
}

/** Prominence at a place of the frame's plane, between cells by bilinear interpolation; 0 outside. */
export function prominenceAt(relief: CrownRelief, x: number, y: number): number {
  const { prominence, columns, rows } = relief;
  const u = (x - relief.x0) / RELIEF_CELL_MM;
  const v = (y - relief.y0) / RELIEF_CELL_MM;
  const c = Math.floor(u);
  const r = Math.floor(v);
  if (c < 0 || r < 0 || c >= columns - 1 || r >= rows - 1) return 0;
  const i = r * columns + c;
  const fu = u - c;
  const fv = v - r;
  return (
    (1 - fv) * ((1 - fu) * prominence[i]! + fu * prominence[i + 1]!) +
    fv * ((1 - fu) * prominence[i + columns]! + fu * prominence[i + columns + 1]!)
  );
}

/** Height of the topmost surface at a place, null where the scan has none. */
export function heightAt(relief: CrownRelief, x: number, y: number): number | null {
  const c = Math.round((x - relief.x0) / RELIEF_CELL_MM);
  const r = Math.round((y - relief.y0) / RELIEF_CELL_MM);
  if (c < 0 || r < 0 || c >= relief.columns || r >= relief.rows) return null;
  const z = relief.height[r * relief.columns + c]!;
  return Number.isNaN(z) ? null : z;
}
