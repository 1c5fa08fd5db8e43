import { existsSync, readFileSync } from 'node:fs';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { subdivide } from './subdivide.ts';

/** The arch that everything is timed on. */
export interface ArchFiles {
  readonly scan: string;
  readonly clicks: string;
}

const SHARED = '../shared/data/synthetic/upper-three-spaces/';
const DEMO = 'public/demo/';

export function archFiles(): ArchFiles {
  if (existsSync(`${SHARED}scan.ply`)) return { scan: `${SHARED}scan.ply`, clicks: `${SHARED}clicks.json` };
  return { scan: `${DEMO}demo-arch.ply`, clicks: `${DEMO}demo-clicks.json` };
}

/** The arch, finer by a factor of four per round; 0 = as it is. */
export async function archMesh(files: ArchFiles, rounds: number): Promise<TriangleMesh> {
  const { positions, triangles } = await readScan(new Uint8Array(readFileSync(files.scan)), {
    fileName: 'arch.ply',
  });
  let mesh: TriangleMesh = { positions, triangles };
  for (let round = 0; round < rounds; round++) mesh = subdivide(mesh);
  return mesh;
}

/** The same as a binary STL. */
export async function archStl(files: ArchFiles, rounds: number): Promise<Uint8Array> {
  return writeBinaryStl(await archMesh(files, rounds));
}
