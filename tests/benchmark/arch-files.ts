import { existsSync, readFileSync } from 'node:fs';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { resizeMesh } from './resize-mesh.ts';

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

/** Triangles of the sizes that are timed; null is the arch as it is. */
export const SIZES = { least: 100_000, plain: null, million: 1_000_000, most: 5_000_000 } as const;

/** The arch with so many triangles; null = as it is. */
export async function archMesh(files: ArchFiles, triangles: number | null): Promise<TriangleMesh> {
  const scan = await readScan(new Uint8Array(readFileSync(files.scan)), { fileName: 'arch.ply' });
  const mesh = { positions: scan.positions, triangles: scan.triangles };
  return triangles === null ? mesh : await resizeMesh(mesh, triangles);
}

/** The same as a binary STL. */
export async function archStl(files: ArchFiles, triangles: number | null): Promise<Uint8Array> {
  return writeBinaryStl(await archMesh(files, triangles));
}
