import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { weldSoup } from '../../src/geometry/weld.ts';
import type { Scan } from '../../src/scan/types.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import type { ClickSet, ToothMap } from '../../src/teeth/types.ts';

/*
 * Labelled scans beside the project, read on their own (just those two dialects), so that the tests of the
 * segmentation do not lean on the project's readers.
 */

const folder = fileURLToPath(new URL('../../../shared/data/', import.meta.url));

export const LABELLED_CASES = [
  'real/arch-upper',
  'synthetic/upper-three-spaces',
  'synthetic/lower-all-closed',
  'synthetic/upper-follow-up',
  'synthetic/upper-blunt-scanner',
] as const;
export type LabelledCaseName = (typeof LABELLED_CASES)[number];

/** Whether the data folder is there; says so on the console when it is not. */
export function sharedDataPresent(): boolean {
  const present = existsSync(`${folder}real/arch-upper/scan.stl`);
  if (!present) console.warn('../shared/data is absent: the segmentation tests on labelled scans do not run');
  return present;
}

export interface LabelledCase {
  readonly scan: Scan;
  readonly truth: ToothMap;
  /** Click files by name, snapped to the surface. */
  readonly clicks: ReadonlyMap<string, ClickSet>;
  /** truth.json, or null for the real arch. */
  readonly facts: SyntheticFacts | null;
}

interface SyntheticFacts {
  readonly occlusal_direction: readonly [number, number, number];
  readonly anterior_direction: readonly [number, number, number];
  readonly teeth: readonly {
    readonly iso: number;
    readonly centre: readonly [number, number, number];
    readonly true_mesiodistal_width_mm: number;
    readonly crown_height_mm: number;
  }[];
}

/** A scan made of a mesh alone: what the segmentation reads of it. */
export function scanOf(mesh: TriangleMesh): Scan {
  const triangles = mesh.triangles.length / 3;
  const vertices = mesh.positions.length / 3;
  return {
    ...mesh,
    colors: null,
    originMm: [0, 0, 0],
    source: {
      fileName: 'test.stl',
      byteLength: 0,
      sha256: '',
      format: 'stl-binary',
      unit: { unit: 'mm', basis: 'user', sure: true, sentence: '' },
      trianglesInFile: triangles,
      verticesInFile: vertices,
    },
    health: {
      vertices,
      triangles,
      weldedVertices: 0,
      degenerateRemoved: 0,
      duplicatesRemoved: 0,
      components: 1,
      largestComponentTriangles: triangles,
      openEdges: 0,
      nonManifoldEdges: 0,
      flippedEdges: 0,
      medianEdgeMm: 0,
      sizeMm: [0, 0, 0],
      areaMm2: 0,
      findings: [],
    },
  };
}

const read = new Map<LabelledCaseName, LabelledCase>();

/** Read once for all files that share a thread: nobody writes into it. */
export function readLabelledCase(name: LabelledCaseName): LabelledCase {
  const labelled = read.get(name) ?? readCase(name);
  read.set(name, labelled);
  return labelled;
}

function readCase(name: LabelledCaseName): LabelledCase {
  const path = `${folder}${name}/`;
  const real = name.startsWith('real');
  const mesh = real ? readStl(`${path}scan.stl`) : readPly(`${path}scan.ply`);
  const truth = real
    ? Uint8Array.from(readFileSync(`${path}labels-per-triangle.u8`))
    : faceLabels(mesh, readFileSync(`${path}labels.u8`));
  if (truth.length !== mesh.triangles.length / 3) throw new Error(`${name}: labels do not fit the triangles`);
  const scan = scanOf(mesh);
  const clicks = new Map<string, ClickSet>();
  for (const file of real ? ['clicks.json'] : ['clicks.json', 'clicks-alt.json']) {
    clicks.set(
      file,
      snapClicks(scan, clicksToScanFrame(parseClickFile(readFileSync(`${path}${file}`, 'utf8')), scan)),
    );
  }
  const facts = real ? null : (JSON.parse(readFileSync(`${path}truth.json`, 'utf8')) as SyntheticFacts);
  return { scan, truth, clicks, facts };
}

function readStl(path: string): TriangleMesh {
  const bytes = readFileSync(path);
  const count = bytes.readUInt32LE(80);
  const corners = new Float32Array(9 * count);
  for (let t = 0; t < count; t++) {
    for (let k = 0; k < 9; k++) corners[9 * t + k] = bytes.readFloatLE(84 + 50 * t + 12 + 4 * k);
  }
  const { positions, triangles } = weldSoup(corners);
  return { positions, triangles };
}

/** Binary little-endian, x y z float and three colour bytes per vertex, triangles with int indices. */
function readPly(path: string): TriangleMesh {
  const bytes = readFileSync(path);
  const body = bytes.indexOf('end_header\n') + 'end_header\n'.length;
  const header = bytes.subarray(0, body).toString('latin1');
  const vertices = Number(/element vertex (\d+)/.exec(header)![1]);
  const faces = Number(/element face (\d+)/.exec(header)![1]);
  const positions = new Float32Array(3 * vertices);
  const triangles = new Uint32Array(3 * faces);
  for (let v = 0; v < vertices; v++) {
    for (let k = 0; k < 3; k++) positions[3 * v + k] = bytes.readFloatLE(body + 15 * v + 4 * k);
  }
  const list = body + 15 * vertices;
  for (let f = 0; f < faces; f++) {
    for (let k = 0; k < 3; k++) triangles[3 * f + k] = bytes.readInt32LE(list + 13 * f + 1 + 4 * k);
  }
  return { positions, triangles };
}

/** A triangle takes the label that two of its corners share, else its first corner's; crumbs (255) are no tooth. */
function faceLabels(mesh: TriangleMesh, perVertex: Uint8Array): ToothMap {
  return Uint8Array.from({ length: mesh.triangles.length / 3 }, (_, f) => {
    const [a, b, c] = [0, 1, 2].map((k) => perVertex[mesh.triangles[3 * f + k]!]!) as [
      number,
      number,
      number,
    ];
    const label = b === c ? b : a;
    return label === 255 ? 0 : label;
  });
}

/** Intersection over union by area of every tooth of the truth. */
export function toothIou(area: Float32Array, truth: ToothMap, labels: ToothMap): Map<number, number> {
  const both = new Float64Array(256);
  const either = new Float64Array(256);
  for (let f = 0; f < area.length; f++) {
    const a = area[f]!;
    if (truth[f] === labels[f]) both[truth[f]!]! += a;
    else either[labels[f]!]! += a;
    either[truth[f]!]! += a;
  }
  const teeth = [...new Set(truth)].filter((tooth) => tooth !== 0).sort((a, b) => a - b);
  return new Map(teeth.map((tooth) => [tooth, both[tooth]! / either[tooth]!]));
}

export function meanOf(values: Iterable<number>): number {
  const list = [...values];
  return list.reduce((sum, value) => sum + value, 0) / list.length;
}
