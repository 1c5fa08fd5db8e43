import { letGo } from '../../geometry/let-go.ts';
import type { TriangleMesh } from '../../geometry/types.ts';

/**
 * How the view darkens grooves and embrasures. Contributor note: rays cast over the hemisphere of each vertex look
 * alike but take seconds for 280 000 triangles; a blurred grid of surface area takes a few hundredths of a second
 * and has no noise. It is a drawing aid, not a measurement.
 */
const CELL_MM = 0.5;
/** The grid is looked up this far above the surface, where an embrasure holds more surface than a flat place. */
const LOOK_UP_CELLS = 2.6;
/** Half-width and number of the box blurs. */
const BOX_RADIUS = 1;
const BOX_PASSES = 4;
/**
 * Standard deviation of the whole blur: each box of w = 3 cells adds (w^2 - 1) / 12 to the variance, the trilinear
 * deposit and look-up about 1/6 each.
 */
const BLUR_CELLS = Math.sqrt((BOX_PASSES * ((2 * BOX_RADIUS + 1) ** 2 - 1)) / 12 + 1 / 3);
/** Crowding (surface nearby, relative to a flat place) at which the shade reaches 63 %. */
const CROWDING_SCALE = 2.2;
/** More cells than this and the cell grows: a file in the wrong unit must not exhaust memory. */
const MAX_CELLS = 6_000_000;

/**
 * (n) shade per vertex: 0 in the open, towards 1 deep in a crevice.
 *
 * @param mesh - not modified
 * @param normals - (n x 3) unit vertex normals
 */
export function creviceShade(mesh: TriangleMesh, normals: Float32Array): Float32Array {
  const grid = makeGrid(mesh.positions);
  depositArea(grid, mesh);
  for (let pass = 0; pass < BOX_PASSES; pass++) for (const axis of [0, 1, 2] as const) boxBlur(grid, axis);
  const lookUp = LOOK_UP_CELLS * grid.cell;
  const blur = BLUR_CELLS * grid.cell;
  // A plane at distance d holds exp(-d^2 / 2 s^2) / (s sqrt(2 pi)) area per volume after the blur.
  const flat = Math.exp((-lookUp * lookUp) / (2 * blur * blur)) / (blur * Math.sqrt(2 * Math.PI));
  const { positions } = mesh;
  const shade = new Float32Array(positions.length / 3);
  for (let v = 0; v < shade.length; v++) {
    const density = sample(
      grid,
      positions[3 * v]! + lookUp * normals[3 * v]!,
      positions[3 * v + 1]! + lookUp * normals[3 * v + 1]!,
      positions[3 * v + 2]! + lookUp * normals[3 * v + 2]!,
    );
    const excess = density / flat - 1;
    shade[v] = excess <= 0 ? 0 : 1 - Math.exp(-excess / CROWDING_SCALE);
  }
  letGo(grid.values, grid.scratch);
  return shade;
}

interface Grid {
  readonly cell: number;
  readonly origin: readonly [number, number, number];
  readonly size: readonly [number, number, number];
  values: Float32Array;
  scratch: Float32Array;
}

function makeGrid(positions: Float32Array): Grid {
  const low: [number, number, number] = [Infinity, Infinity, Infinity];
  const high: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const x = positions[i + k]!;
      if (x < low[k]!) low[k] = x;
      if (x > high[k]!) high[k] = x;
    }
  }
  const margin = (LOOK_UP_CELLS + 3 * BLUR_CELLS) * CELL_MM;
  const extent = low.map((l, k) => Math.max(0, high[k]! - l) + 2 * margin) as [number, number, number];
  const cell = Math.max(CELL_MM, Math.cbrt((extent[0] * extent[1] * extent[2]) / MAX_CELLS));
  const size = extent.map((e) => Math.ceil(e / cell) + 1) as [number, number, number];
  const count = size[0] * size[1] * size[2];
  return {
    cell,
    origin: [low[0] - margin, low[1] - margin, low[2] - margin],
    size,
    values: new Float32Array(count),
    scratch: new Float32Array(count),
  };
}

/** Spreads each triangle's area over the eight cells around its centre. */
function depositArea(grid: Grid, mesh: TriangleMesh): void {
  const { positions: p, triangles } = mesh;
  const perVolume = 1 / grid.cell ** 3;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t]!;
    const b = 3 * triangles[t + 1]!;
    const c = 3 * triangles[t + 2]!;
    const ux = p[b]! - p[a]!;
    const uy = p[b + 1]! - p[a + 1]!;
    const uz = p[b + 2]! - p[a + 2]!;
    const vx = p[c]! - p[a]!;
    const vy = p[c + 1]! - p[a + 1]!;
    const vz = p[c + 2]! - p[a + 2]!;
    const area = 0.5 * Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
    forCorners(
      grid,
      (p[a]! + p[b]! + p[c]!) / 3,
      (p[a + 1]! + p[b + 1]! + p[c + 1]!) / 3,
      (p[a + 2]! + p[b + 2]! + p[c + 2]!) / 3,
    );
    for (let i = 0; i < 8; i++) grid.values[cornerAt[i]!]! += area * perVolume * cornerWeight[i]!;
  }
}

/** Scratch of `forCorners`: the eight cells around a point and their trilinear weights. */
const cornerAt = new Int32Array(8);
const cornerWeight = new Float64Array(8);

function forCorners(grid: Grid, x: number, y: number, z: number): void {
  const [nx, ny, nz] = grid.size;
  const fx = (x - grid.origin[0]) / grid.cell;
  const fy = (y - grid.origin[1]) / grid.cell;
  const fz = (z - grid.origin[2]) / grid.cell;
  const ix = Math.min(Math.max(Math.floor(fx), 0), nx - 2);
  const iy = Math.min(Math.max(Math.floor(fy), 0), ny - 2);
  const iz = Math.min(Math.max(Math.floor(fz), 0), nz - 2);
  const wx = fx - ix;
  const wy = fy - iy;
  const wz = fz - iz;
  const base = ix + nx * (iy + ny * iz);
  for (let i = 0; i < 8; i++) {
    const bx = i & 1;
    const by = (i >> 1) & 1;
    const bz = i >> 2;
    cornerAt[i] = base + bx + nx * (by + ny * bz);
    cornerWeight[i] = (bx ? wx : 1 - wx) * (by ? wy : 1 - wy) * (bz ? wz : 1 - wz);
  }
}

function sample(grid: Grid, x: number, y: number, z: number): number {
  forCorners(grid, x, y, z);
  let sum = 0;
  for (let i = 0; i < 8; i++) sum += cornerWeight[i]! * grid.values[cornerAt[i]!]!;
  return sum;
}

/** Running mean along one axis; cells beyond the border count as empty. */
function boxBlur(grid: Grid, axis: 0 | 1 | 2): void {
  const [nx, ny, nz] = grid.size;
  const stride = axis === 0 ? 1 : axis === 1 ? nx : nx * ny;
  const length = grid.size[axis];
  const outer = axis === 0 ? [ny, nx, nz, nx * ny] : axis === 1 ? [nx, 1, nz, nx * ny] : [nx, 1, ny, nx];
  const width = 2 * BOX_RADIUS + 1;
  const { values, scratch } = grid;
  for (let j = 0; j < outer[2]!; j++) {
    for (let i = 0; i < outer[0]!; i++) {
      const start = i * outer[1]! + j * outer[3]!;
      let sum = 0;
      for (let k = 0; k < Math.min(BOX_RADIUS, length); k++) sum += values[start + k * stride]!;
      for (let k = 0; k < length; k++) {
        const enter = k + BOX_RADIUS;
        const leave = k - BOX_RADIUS - 1;
        if (enter < length) sum += values[start + enter * stride]!;
        if (leave >= 0) sum -= values[start + leave * stride]!;
        scratch[start + k * stride] = sum / width;
      }
    }
  }
  grid.values = scratch;
  grid.scratch = values;
}
