import { boundingSphere, sampleVertices } from './bounding-sphere.ts';
import type { DisplayArrays, ScanSight } from './display-messages.ts';
import { guessSight } from './guess-sight.ts';

/** Vertices by which a scan is fitted into the view and its first sight is guessed. */
const SAMPLE = 6000;

/** What the whole of a scan is looked at by. */
export function scanSight({ positions, normals }: Pick<DisplayArrays, 'positions' | 'normals'>): ScanSight {
  const points = sampleVertices(positions, SAMPLE);
  return { points, ...boundingSphere(points), guess: guessSight(points, sampleVertices(normals, SAMPLE)) };
}
