import { triangleAreas } from '../geometry/triangle-geometry.ts';
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

/** Area, area-weighted centre (then sums), per cell. */
type CellSums = [area: number, x: number, y: number, z: number];

/**
 * How much an open surface faces outwards: over cells the size of a crown, the flux of the offset from the cell's own
 * centre, relative to its largest possible value; between -1 and 1. Crowns and alveolar ridges bulge towards the
 * outside, so that the offset and the normal agree (for a closed surface the flux would be three times the volume, by
 * the divergence theorem); a palate is nearly flat at this scale and counts little.
 *
 * @param mesh - mm
 */
export function outwardShare({ positions: p, triangles }: TriangleMesh): number {
  let flux = 0;
  let most = 0;
  // Two grids, half a cell apart, so that no row of teeth is cut the same way twice.
  for (const shift of [0, 0.5]) {
    const cells = new Map<number, CellSums>();
    const visit = (
      take: (cell: CellSums, x: number, y: number, z: number, n: readonly [number, number, number]) => void,
    ): void => {
      for (let i = 0; i < triangles.length; i += 3) {
        const a = 3 * triangles[i]!;
        const b = 3 * triangles[i + 1]!;
        const c = 3 * triangles[i + 2]!;
        const x = (p[a]! + p[b]! + p[c]!) / 3;
        const y = (p[a + 1]! + p[b + 1]! + p[c + 1]!) / 3;
        const z = (p[a + 2]! + p[b + 2]! + p[c + 2]!) / 3;
        const ux = p[b]! - p[a]!;
        const uy = p[b + 1]! - p[a + 1]!;
        const uz = p[b + 2]! - p[a + 2]!;
        const vx = p[c]! - p[a]!;
        const vy = p[c + 1]! - p[a + 1]!;
        const vz = p[c + 2]! - p[a + 2]!;
        const key = cellKey(x, y, z, shift);
        let cell = cells.get(key);
        if (!cell) {
          cell = [0, 0, 0, 0];
          cells.set(key, cell);
        }
        take(cell, x, y, z, [(uy * vz - uz * vy) / 2, (uz * vx - ux * vz) / 2, (ux * vy - uy * vx) / 2]);
      }
    };
    visit((cell, x, y, z, n) => {
      const area = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
      cell[0] += area;
      cell[1] += area * x;
      cell[2] += area * y;
      cell[3] += area * z;
    });
    visit((cell, x, y, z, n) => {
      const dx = x - cell[1] / cell[0];
      const dy = y - cell[2] / cell[0];
      const dz = z - cell[3] / cell[0];
      const area = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
      flux += n[0] * dx + n[1] * dy + n[2] * dz;
      most += area * Math.sqrt(dx * dx + dy * dy + dz * dz);
    });
  }
  return most === 0 ? 0 : flux / most;
}

/** Cells are told apart within 1024 of them each way, far beyond any jaw. */
const CELLS_EACH_WAY = 1024;

function cellKey(x: number, y: number, z: number, shift: number): number {
  const at = (value: number) =>
    ((Math.floor(value / CELL_MM + shift) % CELLS_EACH_WAY) + CELLS_EACH_WAY) % CELLS_EACH_WAY;
  return (at(x) * CELLS_EACH_WAY + at(y)) * CELLS_EACH_WAY + at(z);
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
