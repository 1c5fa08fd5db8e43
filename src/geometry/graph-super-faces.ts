import { crossingCurvature } from './graph-crossing-curvature.ts';
import type { FaceFabric, SurfaceGraph } from './graph-surface.ts';
import { letGo } from './let-go.ts';
import { isRim } from './scan-rim.ts';
import { sideLength, triangleArea, triangleCentroids } from './triangle-geometry.ts';

/** How super-faces grow. */
export interface SuperFaceSettings {
  /** Largest path cost from a super-face's first face, mm on flat ground. */
  readonly radiusMm: number;
  /** Cost factor per 1/mm of concavity: a super-face does not grow through a fold. */
  readonly concavityCost: number;
  /** Concavity (1/mm) at which a border's weight falls to 1/e: used to average curvature over a common border. */
  readonly curvatureScale: number;
}

/** Mean border weights below this count as this: the weight of a sharp fold may underflow to 0. */
const LEAST_SHARE = 1e-6;

/** Super-faces and which face lies in which. */
export interface SuperFaces {
  readonly graph: SurfaceGraph;
  readonly nodeOfFace: Int32Array;
  readonly facesOfNode: FacesOfNode;
}

/** The faces of node i, in rising order: `faces[start[i]]` to `faces[start[i + 1] - 1]`. */
export interface FacesOfNode {
  readonly start: Uint32Array;
  readonly faces: Uint32Array;
}

/**
 * Groups faces into super-faces. Every face that is still free opens one and takes faces while the path to them
 * costs less than the radius, also from earlier ones when it reaches them more cheaply; what falls apart by that is
 * split into its connected pieces.
 */
export function growSuperFaces(fabric: FaceFabric, settings: SuperFaceSettings): SuperFaces {
  // Three numbers for every face are not kept: of a heavy scan that is a quarter of its file.
  const centroid = triangleCentroids(fabric.mesh);
  const curvature = crossingCurvature(fabric);
  const owner = growOwners(fabric.adjacency, curvature, centroid, settings);
  const { nodeOfFace, nodeCount } = splitOwners(fabric.adjacency, owner);
  letGo(owner);
  const facesOfNode = sortByNode(nodeOfFace, nodeCount);
  const graph = condense(fabric, curvature, centroid, nodeOfFace, facesOfNode, settings.curvatureScale);
  letGo(centroid, curvature);
  return { graph, nodeOfFace, facesOfNode };
}

function growOwners(
  adjacency: Int32Array,
  curvature: Float32Array,
  centroid: Float32Array,
  settings: SuperFaceSettings,
): Int32Array {
  const count = adjacency.length / 3;
  const owner = new Int32Array(count).fill(-1);
  const cost = new Float32Array(count).fill(Number.POSITIVE_INFINITY);
  // Ring buffer of faces whose cost fell: label-correcting, cheaper than a heap on patches this small.
  const queue = new Int32Array(count + 1);
  const queued = new Uint8Array(count);
  for (let seed = 0; seed < count; seed++) {
    if (owner[seed] !== -1) continue;
    owner[seed] = seed;
    cost[seed] = 0;
    let head = 0;
    let tail = 0;
    queue[tail++] = seed;
    while (head !== tail) {
      const f = queue[head]!;
      head = head === count ? 0 : head + 1;
      queued[f] = 0;
      const here = cost[f]!;
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = adjacency[h]!;
        if (g < 0) continue;
        const dx = centroid[3 * g]! - centroid[3 * f]!;
        const dy = centroid[3 * g + 1]! - centroid[3 * f + 1]!;
        const dz = centroid[3 * g + 2]! - centroid[3 * f + 2]!;
        const concavity = Math.max(0, -curvature[h]!);
        const step = Math.sqrt(dx * dx + dy * dy + dz * dz) * (1 + settings.concavityCost * concavity);
        const there = Math.fround(here + step);
        if (there >= settings.radiusMm || there >= cost[g]!) continue;
        cost[g] = there;
        owner[g] = seed;
        if (queued[g]) continue;
        queued[g] = 1;
        queue[tail] = g;
        tail = tail === count ? 0 : tail + 1;
      }
    }
  }
  letGo(cost, queue, queued);
  return owner;
}

function splitOwners(
  adjacency: Int32Array,
  owner: Int32Array,
): { nodeOfFace: Int32Array; nodeCount: number } {
  const count = owner.length;
  const nodeOfFace = new Int32Array(count).fill(-1);
  const stack = new Int32Array(count);
  let nodeCount = 0;
  for (let seed = 0; seed < count; seed++) {
    if (nodeOfFace[seed] !== -1) continue;
    let top = 0;
    stack[top++] = seed;
    nodeOfFace[seed] = nodeCount;
    while (top > 0) {
      const f = stack[--top]!;
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = adjacency[h]!;
        if (g < 0 || nodeOfFace[g] !== -1 || owner[g] !== owner[f]) continue;
        nodeOfFace[g] = nodeCount;
        stack[top++] = g;
      }
    }
    nodeCount++;
  }
  letGo(stack);
  return { nodeOfFace, nodeCount };
}

function sortByNode(nodeOfFace: Int32Array, nodeCount: number): FacesOfNode {
  const start = new Uint32Array(nodeCount + 1);
  for (let f = 0; f < nodeOfFace.length; f++) start[nodeOfFace[f]! + 1] = start[nodeOfFace[f]! + 1]! + 1;
  for (let i = 0; i < nodeCount; i++) start[i + 1] = start[i + 1]! + start[i]!;
  const fill = start.slice(0, nodeCount);
  const faces = new Uint32Array(nodeOfFace.length);
  for (let f = 0; f < nodeOfFace.length; f++) {
    const i = nodeOfFace[f]!;
    faces[fill[i]!] = f;
    fill[i] = fill[i]! + 1;
  }
  return { start, faces };
}

/** Sums areas, centroids and common borders of the nodes; see {@link SuperFaceSettings.curvatureScale}. */
function condense(
  { adjacency, mesh, rim }: FaceFabric,
  curvature: Float32Array,
  faceCentroid: Float32Array,
  nodeOfFace: Int32Array,
  { start: firstFace, faces }: FacesOfNode,
  scale: number,
): SurfaceGraph {
  const count = nodeOfFace.length;
  const nodeCount = firstFace.length - 1;
  const area = new Float32Array(nodeCount);
  const centroid = new Float32Array(3 * nodeCount);
  for (let f = 0; f < count; f++) {
    const i = nodeOfFace[f]!;
    const a = triangleArea(mesh, f);
    area[i] = area[i]! + a;
    for (let k = 0; k < 3; k++) centroid[3 * i + k] = centroid[3 * i + k]! + a * faceCentroid[3 * f + k]!;
  }
  const start = new Uint32Array(nodeCount + 1);
  const arcLimit = 3 * count;
  const target = new Uint32Array(arcLimit);
  const lengthMm = new Float32Array(arcLimit);
  const weight = new Float32Array(arcLimit);
  const arcTo = new Int32Array(nodeCount).fill(-1);
  const rimMm = new Float32Array(nodeCount);
  let arcs = 0;
  for (let i = 0; i < nodeCount; i++) {
    const first = arcs;
    for (let k = firstFace[i]!; k < firstFace[i + 1]!; k++) {
      const f = faces[k]!;
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = adjacency[h]!;
        if (g < 0 && isRim(rim, h)) rimMm[i] = rimMm[i]! + sideLength(mesh, h);
        const j = g < 0 ? i : nodeOfFace[g]!;
        if (j === i) continue;
        let arc = arcTo[j]!;
        if (arc < first) {
          arc = arcs++;
          arcTo[j] = arc;
          target[arc] = j;
        }
        const length = sideLength(mesh, h);
        lengthMm[arc] = lengthMm[arc]! + length;
        weight[arc] = weight[arc]! + length * Math.exp(Math.min(0, curvature[h]!) / scale);
      }
    }
    start[i + 1] = arcs;
    const a = area[i]!;
    for (let k = 0; k < 3; k++) {
      const mean = a > 0 ? centroid[3 * i + k]! / a : faceCentroid[3 * faces[firstFace[i]!]! + k]!;
      centroid[3 * i + k] = mean;
    }
  }
  const meanCurvature = new Float32Array(arcs);
  for (let arc = 0; arc < arcs; arc++) {
    const length = lengthMm[arc]!;
    meanCurvature[arc] = length > 0 ? scale * Math.log(Math.max(weight[arc]! / length, LEAST_SHARE)) : 0;
  }
  const graph = {
    nodeCount,
    start,
    target: target.slice(0, arcs),
    lengthMm: lengthMm.slice(0, arcs),
    curvature: meanCurvature,
    rimMm,
    area,
    centroid,
  };
  letGo(target, lengthMm, weight);
  return graph;
}
