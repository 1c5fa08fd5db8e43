import { faceAdjacency } from '../../../src/geometry/adjacency.ts';
import { triangleCentroids, vertexNormals } from '../../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { distance, dot, lerp, sub } from '../../../src/geometry/vec3.ts';
import { fitOcclusalFrame } from '../../../src/teeth/occlusal-frame.ts';
import type { ClickSet, ToothNumber } from '../../../src/teeth/types.ts';
import { seededNormal, seededRandom } from '../../helpers/random.ts';
import { closeBase } from '../../teeth/close-base.ts';
import type { LabelledCase } from '../labelled-case.ts';
import { keptFaces } from './kept-faces.ts';
import { firstClickSet, remadeCase } from './remade-case.ts';

/** Without the clicks of some teeth, which still stand there. */
export function unclickedCase(labelled: LabelledCase, teeth: readonly ToothNumber[]): LabelledCase {
  return onlyClicks(labelled, (tooth) => !teeth.includes(tooth));
}

/** With the clicks of a few teeth only. */
export function fewClicksCase(labelled: LabelledCase, teeth: readonly ToothNumber[]): LabelledCase {
  return onlyClicks(labelled, (tooth) => teeth.includes(tooth));
}

function onlyClicks(labelled: LabelledCase, wanted: (tooth: ToothNumber) => boolean): LabelledCase {
  const set = firstClickSet(labelled);
  return { ...labelled, clickSets: new Map([['clicks', keepClicks(set, wanted)]]) };
}

export function keepClicks(set: ClickSet, wanted: (tooth: ToothNumber) => boolean): ClickSet {
  return { ...set, clicks: set.clicks.filter(({ tooth }) => tooth === 'gum' || wanted(tooth)) };
}

/** One side of the arch as scanned for a single crown: cut two millimetres beyond the midline. */
export async function quadrantCase(labelled: LabelledCase, side: 'right' | 'left'): Promise<LabelledCase> {
  const set = firstClickSet(labelled);
  const frame = fitOcclusalFrame(labelled.scan, set);
  const central = (which: 'right' | 'left'): Vec3 => {
    const click = set.clicks.find(({ tooth }) => tooth !== 'gum' && CENTRALS[which].includes(tooth));
    if (!click) throw new Error(`${labelled.name} has no central incisors`);
    return click.point;
  };
  const middle = lerp(central('right'), central('left'), 0.5);
  const sign = side === 'left' ? 1 : -1;
  const centroid = triangleCentroids(labelled.scan);
  const onSide = (t: number): boolean =>
    sign * dot(frame.x, sub([centroid[3 * t]!, centroid[3 * t + 1]!, centroid[3 * t + 2]!], middle)) > -2;
  const part = keptFaces(labelled.scan, onSide);
  const quadrants = side === 'right' ? [1, 4] : [2, 3];
  const clicks = keepClicks(set, (tooth) => quadrants.includes(Math.floor(tooth / 10)));
  return remadeCase(
    labelled,
    part.mesh,
    Uint8Array.from(part.from, (t) => labelled.truth[t]!),
    clicks,
  );
}

const CENTRALS: Readonly<Record<'right' | 'left', readonly number[]>> = { right: [11, 41], left: [21, 31] };

/** Closed to a model with a plane base. */
export async function trimmedBaseCase(labelled: LabelledCase): Promise<LabelledCase> {
  const set = firstClickSet(labelled);
  const { z } = fitOcclusalFrame(labelled.scan, set);
  const mesh = closeBase(labelled.scan, z, 8);
  const truth = new Uint8Array(mesh.triangles.length / 3);
  truth.set(labelled.truth);
  return remadeCase(labelled, mesh, truth, set);
}

/** Seen in a mirror, the numbers exchanged with those of the other side. */
export async function mirroredCase(labelled: LabelledCase): Promise<LabelledCase> {
  const { positions, triangles } = labelled.scan;
  const other = (tooth: number): number =>
    tooth === 0 ? 0 : 10 * [0, 2, 1, 4, 3][Math.floor(tooth / 10)]! + (tooth % 10);
  const set = firstClickSet(labelled);
  return remadeCase(
    labelled,
    {
      positions: positions.map((value, k) => (k % 3 === 0 ? -value : value)),
      triangles: triangles.map((_, h) => triangles[h - (h % 3) + [0, 2, 1][h % 3]!]!),
    },
    labelled.truth.map(other),
    {
      ...set,
      clicks: set.clicks.map(({ tooth, point: [x, y, z] }) => ({
        tooth: tooth === 'gum' ? tooth : other(tooth),
        point: [-x, y, z] as const,
      })),
      missing: set.missing.map(other),
      fixed: set.fixed.map(other),
    },
  );
}

/** With white noise along the normals. @param spreadMm - its standard deviation */
export async function noisyCase(
  labelled: LabelledCase,
  spreadMm: number,
  seed: number,
): Promise<LabelledCase> {
  const { scan } = labelled;
  const normals = vertexNormals(scan);
  const random = seededNormal(seed);
  const positions = scan.positions.slice();
  for (let v = 0; v < positions.length; v += 3) {
    const shift = spreadMm * random();
    for (let c = 0; c < 3; c += 1) positions[v + c]! += shift * normals[v + c]!;
  }
  return remadeCase(
    labelled,
    { positions, triangles: scan.triangles },
    labelled.truth,
    firstClickSet(labelled),
  );
}

/** With holes of up to 3 mm anywhere but under the clicks, as a scan in a hurry. */
export async function holedCase(labelled: LabelledCase, holes: number, seed: number): Promise<LabelledCase> {
  const { scan } = labelled;
  const set = firstClickSet(labelled);
  const random = seededRandom(seed);
  const centroid = triangleCentroids(scan);
  const at = (t: number): Vec3 => [centroid[3 * t]!, centroid[3 * t + 1]!, centroid[3 * t + 2]!];
  const adjacency = faceAdjacency(scan.triangles, scan.positions.length / 3);
  const gone = new Uint8Array(labelled.truth.length);
  for (let hole = 0; hole < holes; hole += 1) {
    const first = Math.floor(random() * gone.length);
    const radius = 0.5 + random();
    const middle = at(first);
    if (set.clicks.some(({ point }) => distance(point, middle) < radius + 1)) continue;
    const stack = [first];
    for (let t = stack.pop(); t !== undefined; t = stack.pop()) {
      if (gone[t] || distance(at(t), middle) > radius) continue;
      gone[t] = 1;
      for (let k = 3 * t; k < 3 * t + 3; k += 1) if (adjacency[k]! >= 0) stack.push(adjacency[k]!);
    }
  }
  const part = keptFaces(scan, (t) => !gone[t]);
  return remadeCase(
    labelled,
    part.mesh,
    Uint8Array.from(part.from, (t) => labelled.truth[t]!),
    set,
  );
}
