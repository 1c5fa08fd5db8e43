import { type CrossingCurvatureInput, curvatureAcross } from './graph-crossing-curvature.ts';
import { isRim } from './scan-rim.ts';
import { sideLength, triangleArea, writeCentroid } from './triangle-geometry.ts';

/**
 * The dual graph of a surface: nodes are patches (faces or groups of faces), arcs join patches along their common
 * border. Compressed rows: the arcs of node i are `start[i]` to `start[i + 1] - 1`; every arc appears from both ends.
 */
export interface SurfaceGraph {
  readonly nodeCount: number;
  readonly start: Uint32Array;
  readonly target: Uint32Array;
  /** Length of the common border, mm. */
  readonly lengthMm: Float32Array;
  /** Curvature across the border, 1/mm; negative = concave. */
  readonly curvature: Float32Array;
  /** Length of each node's border along the scan's own rim; edges of holes do not count, mm. */
  readonly rimMm: Float32Array;
  /** mm^2 per node. */
  readonly area: Float32Array;
  /** (n x 3) mm. */
  readonly centroid: Float32Array;
}

/**
 * Everything about the faces that the graphs are made of. Areas and curvatures follow from it: kept for every face and
 * side of a heavy scan they would be a third of its file.
 */
export interface FaceFabric extends CrossingCurvatureInput {
  /** Triangle sides on the scan's own rim, in rising order (see `scanRim`). */
  readonly rim: Int32Array;
}

/**
 * Graph of a part of the faces, one node per face.
 *
 * @param faces - face number of each node
 * @param nodeOfFace - node of each face, -1 for faces outside the part
 */
export function faceGraph(fabric: FaceFabric, faces: Int32Array, nodeOfFace: Int32Array): SurfaceGraph {
  const { mesh, adjacency, rim } = fabric;
  const n = faces.length;
  const start = new Uint32Array(n + 1);
  const target = new Uint32Array(3 * n);
  const lengthMm = new Float32Array(3 * n);
  const curvature = new Float32Array(3 * n);
  const rimMm = new Float32Array(n);
  const area = new Float32Array(n);
  const centroid = new Float32Array(3 * n);
  const middle = new Float32Array(3);
  let arcs = 0;
  for (let i = 0; i < n; i++) {
    const f = faces[i]!;
    area[i] = triangleArea(mesh, f);
    writeCentroid(mesh, f, middle);
    centroid.set(middle, 3 * i);
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = adjacency[h]!;
      if (g < 0 && isRim(rim, h)) rimMm[i] = rimMm[i]! + sideLength(mesh, h);
      const j = g < 0 ? -1 : nodeOfFace[g]!;
      if (j < 0) continue;
      target[arcs] = j;
      lengthMm[arcs] = sideLength(mesh, h);
      curvature[arcs] = curvatureAcross(fabric, h);
      arcs++;
    }
    start[i + 1] = arcs;
  }
  return {
    nodeCount: n,
    start,
    target: target.subarray(0, arcs),
    lengthMm: lengthMm.subarray(0, arcs),
    curvature: curvature.subarray(0, arcs),
    rimMm,
    area,
    centroid,
  };
}

/**
 * Part of a graph. Arcs to nodes outside it are left out; a node's own measures stay what they are.
 *
 * @param nodes - node of the graph for each node of the part
 * @param local - node of the part for each node of the graph, -1 outside
 */
export function partGraph(graph: SurfaceGraph, nodes: Int32Array, local: Int32Array): SurfaceGraph {
  const n = nodes.length;
  const most = nodes.reduce((sum, i) => sum + graph.start[i + 1]! - graph.start[i]!, 0);
  const start = new Uint32Array(n + 1);
  const target = new Uint32Array(most);
  const lengthMm = new Float32Array(most);
  const curvature = new Float32Array(most);
  const centroid = new Float32Array(3 * n);
  let arcs = 0;
  for (let k = 0; k < n; k++) {
    const i = nodes[k]!;
    for (let axis = 0; axis < 3; axis++) centroid[3 * k + axis] = graph.centroid[3 * i + axis]!;
    for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
      const j = local[graph.target[arc]!]!;
      if (j < 0) continue;
      target[arcs] = j;
      lengthMm[arcs] = graph.lengthMm[arc]!;
      curvature[arcs] = graph.curvature[arc]!;
      arcs++;
    }
    start[k + 1] = arcs;
  }
  return {
    nodeCount: n,
    start,
    target: target.subarray(0, arcs),
    lengthMm: lengthMm.subarray(0, arcs),
    curvature: curvature.subarray(0, arcs),
    rimMm: Float32Array.from(nodes, (i) => graph.rimMm[i]!),
    area: Float32Array.from(nodes, (i) => graph.area[i]!),
    centroid,
  };
}
