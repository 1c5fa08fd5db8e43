import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot } from '../geometry/vec3.ts';
import type { OcclusalFrame } from './types.ts';

/**
 * The scan seen from above as a grid of heights, and how far each place stands out of its surroundings: crowns do by
 * several millimetres, gum, palate and ridge hardly.
 */
export interface CrownRelief {
  readonly frame: OcclusalFrame;
  /** Place of the first cell's middle: x to the patient's left, y to the front, from the frame's origin, mm. */
  readonly x0: number;
  readonly y0: number;
  readonly columns: number;
  readonly rows: number;
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
  const count = mesh.positions.length / 3;
  const at = new Float32Array(3 * count);
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const axes = [frame.x, frame.y, frame.z];
  const offsets = axes.map((axis) => dot(axis, frame.origin));
  for (let v = 0; v < count; v++) {
    const p: Vec3 = [mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!];
    for (let k = 0; k < 3; k++) at[3 * v + k] = dot(axes[k]!, p) - offsets[k]!;
    for (let k = 0; k < 2; k++) {
      low[k] = Math.min(low[k]!, at[3 * v + k]!);
      high[k] = Math.max(high[k]!, at[3 * v + k]!);
    }
  }
  const [x0, y0] = low as [number, number];
  const columns = Math.floor((high[0]! - x0) / RELIEF_CELL_MM) + 2;
  const rows = Math.floor((high[1]! - y0) / RELIEF_CELL_MM) + 2;
  const height = raise(at, mesh.triangles, { x0, y0, columns, rows });
  const prominence = standOut(height, columns, rows).map((out, cell) =>
    out > 0 ? Math.max(0, Math.min(out, height[cell]! - floorMm)) : 0,
  );
  return { frame, x0, y0, columns, rows, height, prominence };
}

/** Topmost height per cell, from points spread over every triangle no farther apart than a cell. */
function raise(
  at: Float32Array,
  triangles: Uint32Array,
  grid: { readonly x0: number; readonly y0: number; readonly columns: number; readonly rows: number },
): Float32Array {
  const { x0, y0, columns } = grid;
  const height = new Float32Array(columns * grid.rows).fill(Number.NaN);
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
