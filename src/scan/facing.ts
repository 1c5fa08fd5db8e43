import { areaVectors, triangleAreas, triangleCentroids } from '../geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../geometry/types.ts';

/**
 * Side of the cells, mm: about a crown. In cells of 4 to 10 mm the scans and crowns at hand show +0.08 to +0.73
 * (6 mm: arches +0.12 to +0.14, single crowns +0.46 and more), and the negative of it when turned over.
 */
const CELL_MM = 6;
/**
 * A surface of at least this area, mm^2, counts as facing inwards beyond this share. Pieces cut out of the scans at
 * hand by cubes of 15 to 35 mm, teeth in them or not, showed no less than -0.025 above 300 mm^2 (62 pieces).
 */
const PART_OF_JAW = { areaMm2: 300, share: -0.05 } as const;
/** A smaller one, a single crown, only far beyond: such pieces of gum alone showed down to -0.08. */
const CROWN = { areaMm2: 50, share: -0.25 } as const;
/** Fewer triangles show no shape at the scale of a crown: the coarsest crowns at hand have over a thousand. */
const LEAST_TRIANGLES = 200;
/** A mesh with fewer per cell on average shows no shape in a cell, as one read in far too large a unit. */
const LEAST_PER_CELL = 8;

/**
 * How much an open surface faces outwards: over cells the size of a crown, the flux of the offset from the cell's own
 * centre, relative to its largest possible value; between -1 and 1. Crowns and alveolar ridges bulge towards the
 * outside, so that the offset and the normal agree (for a closed surface the flux would be three times the volume, by
 * the divergence theorem); a palate is nearly flat at this scale and counts little.
 *
 * @param mesh - mm
 * @returns 0, which says nothing, for a mesh too coarse for the cells
 */
export function outwardShare(mesh: TriangleMesh): number {
  const middles = triangleCentroids(mesh);
  const areas = areaVectors(mesh);
  const sums = new Float64Array(2);
  // Two grids, half a cell apart, so that no row of teeth is cut the same way twice.
  for (const shift of [0, 0.5]) {
    const cells = sumCells(middles, areas, shift);
    if (cells === null) return 0;
    addFlux(middles, areas, cells.cellOf, Float64Array.from(cells.sums), sums);
  }
  const [flux, most] = [sums[0]!, sums[1]!];
  return most === 0 ? 0 : flux / most;
}

/**
 * Adds the flux through all triangles, relative to their cells' centres, and the most that it could be.
 *
 * @param cells - see {@link sumCells}
 * @param sums - flux and the most, added to
 */
function addFlux(
  middles: Float32Array,
  areas: Float32Array,
  cellOf: Uint32Array,
  cells: Float64Array,
  sums: Float64Array,
): void {
  for (let t = 0; t < cellOf.length; t += 1) {
    const cell = 4 * cellOf[t]!;
    const nx = areas[3 * t]!;
    const ny = areas[3 * t + 1]!;
    const nz = areas[3 * t + 2]!;
    const area = Math.sqrt(nx * nx + ny * ny + nz * nz);
    if (area === 0) continue;
    const dx = middles[3 * t]! - cells[cell + 1]! / cells[cell]!;
    const dy = middles[3 * t + 1]! - cells[cell + 2]! / cells[cell]!;
    const dz = middles[3 * t + 2]! - cells[cell + 3]! / cells[cell]!;
    sums[0]! += nx * dx + ny * dy + nz * dz;
    sums[1]! += area * Math.sqrt(dx * dx + dy * dy + dz * dz);
  }
}

/**
 * The cell of every triangle, and of every cell its area and the area-weighted sum of x, y, z; null where there are too
 * many cells for the triangles.
 */
function sumCells(
  middles: Float32Array,
  areas: Float32Array,
  shift: number,
): { readonly cellOf: Uint32Array; readonly sums: readonly number[] } | null {
  const cells = new Map<number, number>();
  const cellOf = new Uint32Array(areas.length / 3);
  const sums: number[] = [];
  const mostCells = cellOf.length / LEAST_PER_CELL;
  // Neighbours in the file are mostly neighbours in space.
  let lastKey = -1;
  let last = 0;
  for (let t = 0; t < cellOf.length; t += 1) {
    const x = middles[3 * t]!;
    const y = middles[3 * t + 1]!;
    const z = middles[3 * t + 2]!;
    const key = cellKey(x, y, z, shift);
    if (key !== lastKey) {
      last = cells.get(key) ?? cells.size;
      if (last === cells.size) {
        if (last > mostCells) return null;
        cells.set(key, last);
        sums.push(0, 0, 0, 0);
      }
      lastKey = key;
    }
    cellOf[t] = last;
    const nx = areas[3 * t]!;
    const ny = areas[3 * t + 1]!;
    const nz = areas[3 * t + 2]!;
    const area = Math.sqrt(nx * nx + ny * ny + nz * nz);
    sums[4 * last]! += area;
    sums[4 * last + 1]! += area * x;
    sums[4 * last + 2]! += area * y;
    sums[4 * last + 3]! += area * z;
  }
  return { cellOf, sums };
}

/** Cells are told apart within 1024 of them each way, far beyond any jaw. */
const CELLS_EACH_WAY = 1024;

function cellKey(x: number, y: number, z: number, shift: number): number {
  return (cellAt(x, shift) * CELLS_EACH_WAY + cellAt(y, shift)) * CELLS_EACH_WAY + cellAt(z, shift);
}

function cellAt(value: number, shift: number): number {
  return ((Math.floor(value / CELL_MM + shift) % CELLS_EACH_WAY) + CELLS_EACH_WAY) % CELLS_EACH_WAY;
}

/** True when the triangles of an open surface plainly face the inside of teeth and jaw. */
export function facesInwards(mesh: TriangleMesh): boolean {
  if (mesh.triangles.length < 3 * LEAST_TRIANGLES) return false;
  const areaMm2 = triangleAreas(mesh).reduce((sum, area) => sum + area, 0);
  if (areaMm2 < CROWN.areaMm2) return false;
  return outwardShare(mesh) < (areaMm2 < PART_OF_JAW.areaMm2 ? CROWN.share : PART_OF_JAW.share);
}

/** Turns every triangle over, in place: corners keep their vertices, the order is reversed. */
export function turnOver(triangles: Uint32Array): void {
  for (let i = 0; i < triangles.length; i += 3) {
    const second = triangles[i + 1]!;
    triangles[i + 1] = triangles[i + 2]!;
    triangles[i + 2] = second;
  }
}
