import type { Analysis } from '../../src/contacts/types.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { makeAnalysis, saysOf } from './make-analysis.ts';

export const BALL_RADIUS_MM = 3;

const centres = [
  [-3.2, 0],
  [3.2, 0],
] as const;

/** Two balls of 3 mm radius as 11 and 21, 0.4 mm apart; closing takes both 0.2 mm towards each other along x. */
export function twoBalls(): { analysis: Analysis; mesh: TriangleMesh; labels: Uint8Array } {
  const balls = centres.map(([x, y]) => sphereMesh(BALL_RADIUS_MM, 4, [x, y, 0]));
  const count = balls[0]!.positions.length / 3;
  const mesh = {
    positions: Float32Array.from(balls.flatMap((ball) => [...ball.positions])),
    triangles: Uint32Array.from([...balls[0]!.triangles, ...[...balls[1]!.triangles].map((v) => v + count)]),
  };
  const half = balls[0]!.triangles.length / 3;
  const labels = Uint8Array.from({ length: 2 * half }, (_, t) => (t < half ? 11 : 21));
  const flat = makeAnalysis({
    teeth: [11, 21],
    centres,
    pointsA: [[-0.2, 0]],
    pointsB: [[0.2, 0]],
    says: saysOf([0.4]),
  });
  // The balls' centres and closest points lie at height zero.
  const analysis: Analysis = {
    ...flat,
    teeth: flat.teeth.map((tooth, i) => ({ ...tooth, centre: [centres[i]![0], centres[i]![1], 0] })),
    contacts: flat.contacts.map((contact) => ({ ...contact, pointA: [-0.2, 0, 0], pointB: [0.2, 0, 0] })),
  };
  return { analysis, mesh, labels };
}
