import type { SurfaceGraph } from '../geometry/graph-surface.ts';
import type { Vec3 } from '../geometry/types.ts';
import type { CrownPrior } from './crown-prior.ts';
import { SEGMENT } from './segment-settings.ts';

/** A click on the graph being solved. Label 0 = gum, t + 1 = tooth t of the arch order. */
export interface LandedClick {
  readonly label: number;
  readonly point: Vec3;
  /** Face of the scan under the click. */
  readonly face: number;
  /** A further click on a tooth, or one on the gum: it settles its place whatever else is known. */
  readonly correction: boolean;
}

/** Where a node's label is certain. */
export interface HardSeeds {
  /** 1 = certain. */
  readonly fixed: Uint8Array;
  /** The certain label; meaningless where not fixed. */
  readonly label: Uint8Array;
  /** 1 = certain because a click says so. */
  readonly clicked: Uint8Array;
}

/**
 * What is certain before any cut: the core of each expected crown, what lies beyond every crown (gum), a disk around
 * each tooth's first click, and last the disks of corrections, newest over oldest.
 *
 * @param nodeOf - node of the graph that holds a face; negative when the graph does not hold it
 */
export function hardSeeds(
  graph: SurfaceGraph,
  prior: CrownPrior,
  clicks: readonly LandedClick[],
  nodeOf: (face: number) => number,
): HardSeeds {
  const n = graph.nodeCount;
  const fixed = new Uint8Array(n);
  const label = new Uint8Array(n);
  const clicked = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const r = prior.least[i]!;
    if (r < SEGMENT.seedRho) {
      fixed[i] = 1;
      label[i] = prior.nearest[i]! + 1;
    } else if (r > SEGMENT.gumSeedRho) fixed[i] = 1;
  }
  const nearest = new Float32Array(n).fill(Number.POSITIVE_INFINITY);
  for (const click of clicks) {
    if (click.correction) continue;
    for (const [i, d] of connectedDisk(graph, nodeOf(click.face), click.point, SEGMENT.clickDiskMm)) {
      if (d >= nearest[i]!) continue;
      nearest[i] = d;
      fixed[i] = 1;
      clicked[i] = 1;
      label[i] = click.label;
    }
  }
  for (const click of clicks) {
    if (!click.correction) continue;
    for (const [i] of connectedDisk(graph, nodeOf(click.face), click.point, SEGMENT.correctionDiskMm)) {
      fixed[i] = 1;
      clicked[i] = 1;
      label[i] = click.label;
    }
  }
  return { fixed, label, clicked };
}

/** Nodes within a radius of a point that hang together with the node under it; with their distances, mm. */
export function connectedDisk(
  graph: SurfaceGraph,
  startNode: number,
  point: Vec3,
  radiusMm: number,
): Map<number, number> {
  const disk = new Map<number, number>();
  if (startNode < 0) return disk;
  const distanceTo = (i: number): number =>
    Math.hypot(
      graph.centroid[3 * i]! - point[0],
      graph.centroid[3 * i + 1]! - point[1],
      graph.centroid[3 * i + 2]! - point[2],
    );
  disk.set(startNode, 0);
  const stack = [startNode];
  for (let i = stack.pop(); i !== undefined; i = stack.pop()) {
    for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
      const j = graph.target[arc]!;
      if (disk.has(j)) continue;
      const d = distanceTo(j);
      if (d > radiusMm) continue;
      disk.set(j, d);
      stack.push(j);
    }
  }
  return disk;
}
