import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Module from 'manifold-3d';
import { BufferAttribute, BufferGeometry, Matrix4 } from 'three';
import { PLYLoader } from 'three/addons/loaders/PLYLoader.js';
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import { mergeVertices } from 'three/addons/utils/BufferGeometryUtils.js';
import { MeshBVH } from 'three-mesh-bvh';
import { buildPickTree } from '../../../src/app/view/pick-tree.ts';
import { openStretches } from '../../../src/cli/open-stretches.ts';
import { closestOfMeshes } from '../../../src/geometry/mesh-distance.ts';
import { runAtOnce } from '../../../src/geometry/steps.ts';
import type { TriangleMesh } from '../../../src/geometry/types.ts';
import { weldInSteps } from '../../../src/geometry/weld.ts';
import { openReader } from '../../../src/scan/read-scan.ts';
import { RACE_FILES } from './race-files.ts';

/** One run of one contestant: how long the work took, and what came out (vertices, or the distance in mm). */
interface Lap {
  readonly ms: number;
  readonly found: number;
}

/** Where the files lie, and what other programs are called. */
export interface Track {
  readonly folder: string;
  readonly python: string;
  /** The built mesh-distance.cpp; null where CGAL is not installed. */
  readonly cgal: string | null;
}

/** A contestant: prepares what is not raced, then runs laps; null where it is not installed. Files are read in the lap. */
type Contestant = (track: Track) => Promise<(() => Lap) | null>;

export interface Contest {
  readonly title: string;
  /** What a result is, for the table. */
  readonly finds: string;
  /** Ours first. */
  readonly contestants: Readonly<Record<string, Contestant>>;
  /** Our time over theirs is to be at most this: the project's own goal. */
  readonly goals: Readonly<Record<string, number>>;
}

function lap(work: () => number): Lap {
  const start = performance.now();
  const found = work();
  return { ms: performance.now() - start, found };
}

const bytesOf = (track: Track, name: string): Uint8Array => readFileSync(join(track.folder, name));

/** A file of this size lies in a buffer of its own, which three's readers ask for. */
function bufferOf(track: Track, name: string): ArrayBuffer {
  const { buffer, byteLength } = bytesOf(track, name);
  if (!(buffer instanceof ArrayBuffer) || buffer.byteLength !== byteLength)
    throw new Error(`${name} shares its buffer with other things.`);
  return buffer;
}

function geometryOf({ positions, triangles }: TriangleMesh): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(positions), 3));
  geometry.setIndex(new BufferAttribute(Uint32Array.from(triangles), 1));
  return geometry;
}

/** Read as the command line reads a scan, stretch by stretch; without its fingerprint, which the others do not make. */
function weldedFile(track: Track, name: string): TriangleMesh {
  const file = openStretches(join(track.folder, name));
  const { positions, triangles, firstCorner } = runAtOnce(openReader(file, name));
  file.close();
  return runAtOnce(
    weldInSteps({
      positions: positions as Float32Array,
      triangles,
      colors: null,
      ...(firstCorner && { firstCorner, isDistinct: true }),
    }),
  );
}

/** As a scan is opened: read, welded, repeated and useless triangles removed; the tree that picking walks. */
const ourLoading: Contestant = async (track) => () =>
  lap(() => {
    const mesh = weldedFile(track, RACE_FILES.stl);
    buildPickTree(mesh);
    return mesh.positions.length / 3;
  });

/** As the documentation shows, but for the normals: left on, mergeVertices welds almost nothing. */
const threeLoading: Contestant = async (track) => () =>
  lap(() => {
    const soup = new STLLoader().parse(bufferOf(track, RACE_FILES.stl));
    soup.deleteAttribute('normal');
    const welded = mergeVertices(soup);
    new MeshBVH(welded);
    return welded.getAttribute('position').count;
  });

/** A lap of a program of its own, which says how long its work took without starting it. */
function vtk(kind: 'stl' | 'ply'): Contestant {
  return async ({ folder, python }) => {
    const script = 'tests/benchmark/race/load-with-vtk.py';
    const file = join(folder, RACE_FILES[kind]);
    const run = () => spawnSync(python, [script, kind, file], { encoding: 'utf8' });
    if (run().status !== 0) return null;
    return () => {
      const { ms, points } = JSON.parse(run().stdout) as { ms: number; points: number };
      return { ms, found: points };
    };
  };
}

const ourPly: Contestant = async (track) => () =>
  lap(() => {
    const bytes = bytesOf(track, RACE_FILES.ply);
    return runAtOnce(openReader(bytes, RACE_FILES.ply)).positions.length / 3;
  });

const threePly: Contestant = async (track) => () =>
  lap(() => new PLYLoader().parse(bufferOf(track, RACE_FILES.ply)).getAttribute('position').count);

type Pair = readonly [a: string, b: string];

function ourDistance([a, b]: Pair): Contestant {
  return async (track) => {
    const [one, two] = [weldedFile(track, a), weldedFile(track, b)];
    return () => lap(() => closestOfMeshes(one, two).distanceMm);
  };
}

/** As its documentation advises: with a tree on the other geometry, too. */
function threeDistance([a, b]: Pair): Contestant {
  return async (track) => {
    const [one, two] = [weldedFile(track, a), weldedFile(track, b)];
    return () =>
      lap(() => {
        const [first, second] = [geometryOf(one), geometryOf(two)];
        Object.assign(second, { boundsTree: new MeshBVH(second) });
        const tree = new MeshBVH(first);
        return tree.closestPointToGeometry(second, new Matrix4())?.distance ?? Number.NaN;
      });
  };
}

function cgalDistance([a, b]: Pair): Contestant {
  return async ({ cgal, folder }) => {
    if (cgal === null) return null;
    return () => {
      const files = [join(folder, a), join(folder, b), '64'];
      const [distance, ms] = execFileSync(cgal, files, { encoding: 'utf8' }).split(' ');
      return { ms: Number(ms), found: Number(distance) };
    };
  };
}

/** Solids are made in every lap, as trees are by the others; looked for within 0.1 mm. */
function manifoldDistance([a, b]: Pair): Contestant {
  return async (track) => {
    const wasm = await Module();
    wasm.setup();
    const solid = ({ positions, triangles }: TriangleMesh) =>
      new wasm.Manifold(
        new wasm.Mesh({
          numProp: 3,
          vertProperties: Float32Array.from(positions),
          triVerts: Uint32Array.from(triangles),
        }),
      );
    const [one, two] = [weldedFile(track, a), weldedFile(track, b)];
    return () =>
      lap(() => {
        const [first, second] = [solid(one), solid(two)];
        const found = first.minGap(second, 0.1);
        first.delete();
        second.delete();
        return found;
      });
  };
}

const TEETH: Pair = [RACE_FILES.toothA, RACE_FILES.toothB];
const SPHERES: Pair = [RACE_FILES.inner, RACE_FILES.outer];

export const CONTESTS: Readonly<Record<string, Contest>> = {
  load: {
    title: 'binary STL to a welded mesh with a query tree',
    finds: 'vertices',
    contestants: { ours: ourLoading, three: threeLoading, VTK: vtk('stl') },
    goals: { three: 0.2, VTK: 0.5 },
  },
  ply: {
    title: 'binary PLY parsed',
    finds: 'vertices',
    contestants: { ours: ourPly, three: threePly, VTK: vtk('ply') },
    goals: { three: 0.3 },
  },
  teeth: {
    title: 'smallest distance of two crowns 0.05 mm apart, from their meshes',
    finds: 'mm',
    contestants: {
      ours: ourDistance(TEETH),
      'three-mesh-bvh': threeDistance(TEETH),
      'manifold-3d': manifoldDistance(TEETH),
      CGAL: cgalDistance(TEETH),
    },
    goals: { CGAL: 0.3, 'three-mesh-bvh': 0.05 },
  },
  spheres: {
    title: 'smallest distance of two nested spheres, 0.05 mm of wall between them',
    finds: 'mm',
    contestants: { ours: ourDistance(SPHERES), CGAL: cgalDistance(SPHERES) },
    goals: { CGAL: 1 },
  },
};
