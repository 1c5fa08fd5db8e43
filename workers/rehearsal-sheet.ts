import { STL_HEADER_BYTES, STL_TRIANGLE_BYTES } from '../src/scan/detect-format.ts';
import type { ClickFile } from '../src/teeth/clicks.ts';

/** Bumps about as wide as teeth: sin(KX x) sin(KY y), mm. */
const KX = 0.9;
const KY = 0.7;
const BUMP_MM = 2;
const CELLS = 60;
const CELL_MM = 0.45;
const FLOATS_BEFORE_CORNERS = 3;

/** A binary STL of a wavy sheet with rows of bumps: 7,200 triangles, no teeth and nobody's. */
export function rehearsalSheet(): Uint8Array {
  const triangles = 2 * CELLS * CELLS;
  const bytes = new Uint8Array(STL_HEADER_BYTES + triangles * STL_TRIANGLE_BYTES);
  const view = new DataView(bytes.buffer);
  view.setUint32(STL_HEADER_BYTES - 4, triangles, true);
  let at = STL_HEADER_BYTES;
  const corner = (k: number, i: number, j: number): void => {
    const x = i * CELL_MM;
    const y = j * CELL_MM;
    const z = BUMP_MM * Math.sin(KX * x) * Math.sin(KY * y);
    for (const [axis, value] of [x, y, z].entries()) {
      view.setFloat32(at + 4 * (FLOATS_BEFORE_CORNERS + 3 * k + axis), value, true);
    }
  };
  for (let i = 0; i < CELLS; i++) {
    for (let j = 0; j < CELLS; j++) {
      corner(0, i, j);
      corner(1, i + 1, j);
      corner(2, i, j + 1);
      at += STL_TRIANGLE_BYTES;
      corner(0, i, j + 1);
      corner(1, i + 1, j);
      corner(2, i + 1, j + 1);
      at += STL_TRIANGLE_BYTES;
    }
  }
  return bytes;
}

/** Clicks on the tops of three bumps of one row. */
export function rehearsalClicks(): ClickFile {
  const x = Math.PI / 2 / KX;
  const y = Math.PI / 2 / KY;
  const wave = (2 * Math.PI) / KX;
  return {
    jaw: 'upper',
    unit: 'mm',
    clicks: [
      { tooth: 11, point: [x, y, BUMP_MM] },
      { tooth: 21, point: [x + wave, y, BUMP_MM] },
      { tooth: 22, point: [x + 2 * wave, y, BUMP_MM] },
    ],
    missing: [],
    fixed: [],
  };
}
