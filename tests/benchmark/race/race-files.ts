import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { icosphere } from '../../../fixtures/shapes.ts';
import { writePly } from '../../../fixtures/write-ply.ts';
import { writeBinaryStl } from '../../../fixtures/write-stl.ts';
import type { TriangleMesh } from '../../../src/geometry/types.ts';
import { archFiles, archMesh, SIZES } from '../arch-files.ts';

/** The files that all contestants read. */
export const RACE_FILES = {
  stl: 'arch.stl',
  ply: 'arch.ply',
  toothA: 'tooth-a.stl',
  toothB: 'tooth-b.stl',
  inner: 'inner.stl',
  outer: 'outer.stl',
} as const;

/** Radius of crowns and spheres, and the space between them, mm. */
const RADIUS_MM = 4.5;
const SPACE_MM = 0.05;
/** Makes an icosphere of this radius 327,680 triangles. */
const EDGE_MM = 0.035;

/** Writes the files of a race into a folder: an arch of a million triangles, two crowns, two nested spheres. */
export async function writeRaceFiles(folder: string): Promise<void> {
  const write = (name: string, bytes: Uint8Array): void => writeFileSync(join(folder, name), bytes);
  const arch = await archMesh(archFiles(), SIZES.million);
  write(RACE_FILES.stl, writeBinaryStl(arch));
  write(RACE_FILES.ply, writePly(arch));
  const crown = cusped(icosphere({ radius: RADIUS_MM, edgeMm: EDGE_MM }));
  write(RACE_FILES.toothA, writeBinaryStl(crown));
  write(RACE_FILES.toothB, writeBinaryStl(mirroredBeyond(crown, SPACE_MM)));
  write(RACE_FILES.inner, writeBinaryStl(icosphere({ radius: RADIUS_MM, edgeMm: EDGE_MM })));
  write(RACE_FILES.outer, writeBinaryStl(icosphere({ radius: RADIUS_MM + SPACE_MM, edgeMm: EDGE_MM })));
}

/** A sphere with four cusps above and a little unevenness all round, as crowns have: no two walls quite alike. */
function cusped({ positions, triangles }: TriangleMesh): TriangleMesh {
  const moved = Float32Array.from(positions);
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = [positions[i]!, positions[i + 1]!, positions[i + 2]!];
    const cusps = z > 0 ? 0.12 * Math.sin((2 * x) / RADIUS_MM) * Math.sin((2 * y) / RADIUS_MM) : 0;
    const waves = 0.01 * Math.sin(3 * x + 1) * Math.sin(2.6 * y) * Math.sin(3.4 * z + 2);
    const share = 1 + cusps + waves;
    moved[i] = x * share;
    moved[i + 1] = 1.1 * y * share;
    moved[i + 2] = 0.8 * z * share;
  }
  return { positions: moved, triangles };
}

/** The mirror image on the far side of a plane x = const., so that the two come as near as said: closed form. */
function mirroredBeyond({ positions, triangles }: TriangleMesh, spaceMm: number): TriangleMesh {
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < positions.length; i += 3) most = Math.max(most, positions[i]!);
  const plane = most + spaceMm / 2;
  return {
    positions: positions.map((value, i) => (i % 3 === 0 ? 2 * plane - value : value)),
    // A mirror turns the surface inside out: two corners of every triangle change places.
    triangles: triangles.map((_, i) => triangles[i % 3 === 0 ? i : i % 3 === 1 ? i + 1 : i - 1]!),
  };
}
