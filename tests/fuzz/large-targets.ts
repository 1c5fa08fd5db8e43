import { writePly } from '../../fixtures/write-ply.ts';
import { writeAsciiStl, writeBinaryStl } from '../../fixtures/write-stl.ts';
import type { FuzzTarget } from './fuzz-target.ts';
import { readScanBytes } from './targets.ts';

/** A wavy sheet of `side` by `side` squares, half a millimetre wide: enough to see what a reader takes in memory. */
function sheet(side: number) {
  const positions = new Float32Array(3 * (side + 1) ** 2);
  const triangles = new Uint32Array(6 * side ** 2);
  for (let v = 0, at = 0; v <= side; v++)
    for (let u = 0; u <= side; u++, at += 3)
      positions.set([0.5 * u, 0.5 * v, 2 * Math.sin(0.1 * u) * Math.cos(0.07 * v)], at);
  for (let v = 0, at = 0; v < side; v++)
    for (let u = 0; u < side; u++, at += 6) {
      const corner = v * (side + 1) + u;
      const above = corner + side + 1;
      triangles.set([corner, corner + 1, above, corner + 1, above + 1, above], at);
    }
  return { positions, triangles };
}

const SIDE = 180;

/** Files of one to fifteen megabytes in the usual dialects, for the measurement of memory. */
export function largeTargets(): readonly FuzzTarget[] {
  const mesh = sheet(SIDE);
  const seeds: readonly (readonly [string, Uint8Array])[] = [
    ['binary STL', writeBinaryStl(mesh)],
    ['ASCII STL', writeAsciiStl(mesh)],
    ['ASCII PLY', writePly(mesh, { encoding: 'ascii' })],
    ['binary PLY, little-endian', writePly(mesh, { encoding: 'binary-le' })],
    ['binary PLY, big-endian', writePly(mesh, { encoding: 'binary-be' })],
    [
      'binary PLY, doubles',
      writePly(mesh, { scalar: 'double', doublePositions: Float64Array.from(mesh.positions) }),
    ],
  ];
  return seeds.map(([name, seed]) => ({
    name: `${name}, ${(seed.length / 1e6).toFixed(1)} MB`,
    seed,
    read: readScanBytes,
  }));
}
