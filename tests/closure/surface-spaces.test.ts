import { describe, expect, it } from 'vitest';
import { surfaceSpaces } from '../../src/closure/surface-spaces.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { IDENTITY_MOTION, movePoint, type RigidMotion, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { makeAnalysis, saysOf } from './make-analysis.ts';

/** Two balls of 3 mm radius, 0.3 mm apart, as teeth 11 and 21 in one mesh. */
const RADIUS = 3;
const CENTRES: readonly [Vec3, Vec3] = [
  [-3.15, 0, 0],
  [3.15, 0, 0],
];
const balls = CENTRES.map((centre) => sphereMesh(RADIUS, 5, centre));
const count = balls[0]!.positions.length / 3;
const mesh = {
  positions: Float32Array.from([...balls[0]!.positions, ...balls[1]!.positions]),
  triangles: Uint32Array.from([...balls[0]!.triangles, ...[...balls[1]!.triangles].map((v) => v + count)]),
};
const labels = Uint8Array.from({ length: mesh.triangles.length / 3 }, (_, t) =>
  t < balls[0]!.triangles.length / 3 ? 11 : 21,
);

function analysisWith(gaps: readonly number[]): Analysis {
  const base = makeAnalysis({
    teeth: [11, 21],
    centres: CENTRES.map((c) => [c[0], c[1]] as const),
    pointsA: [[-0.15, 0]],
    pointsB: [[0.15, 0]],
    says: saysOf(gaps),
  });
  // The helper puts contact points 1 mm below the plane; balls touch in it.
  const at = (x: number): Vec3 => [x, 0, 0];
  return { ...base, contacts: base.contacts.map((c) => ({ ...c, pointA: at(-0.15), pointB: at(0.15) })) };
}

/** A faceted ball lies inside its sphere by at most the sagitta of an edge: 0.14 mm edges give 0.8 um per wall. */
const FACETS_MM = 0.002;

const shift = (t: Vec3): RigidMotion => ({ ...IDENTITY_MOTION, translation: t });

describe('spaces between moved surfaces, against two balls', () => {
  const measure = surfaceSpaces(mesh, labels, analysisWith([0.3]));
  const truth = (a: RigidMotion, b: RigidMotion): number => {
    const [p, q] = [movePoint(a, CENTRES[0]), movePoint(b, CENTRES[1])];
    return Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]) - 2 * RADIUS;
  };

  it.each<[string, RigidMotion, RigidMotion]>([
    ['at rest', IDENTITY_MOTION, IDENTITY_MOTION],
    ['closing from one side', shift([0.2, 0, 0]), IDENTITY_MOTION],
    ['closing from both sides with slip', shift([0.1, 0.3, 0]), shift([-0.05, -0.2, 0])],
    ['opening', shift([-0.3, 0, 0]), shift([0.4, 0.1, 0])],
    ['turned about its centre', rotationAbout(CENTRES[0], [0, 0, 1], 0.05), IDENTITY_MOTION],
    ['turned about another place', rotationAbout([-6, 0, 0], [0, 0, 1], 0.03), shift([0, 0.2, 0])],
  ])('%s', (_, a, b) => {
    expect(truth(a, b)).toBeGreaterThan(0);
    expect(Math.abs(measure(11, 21, a, b)! - truth(a, b))).toBeLessThan(FACETS_MM);
  });

  it('an overlap is how far the second has to back off along the closing direction', () => {
    for (const depth of [0.01, 0.1, 0.4]) {
      const found = measure(11, 21, shift([0.3 + depth, 0, 0]), IDENTITY_MOTION)!;
      expect(Math.abs(found + depth)).toBeLessThan(FACETS_MM);
    }
  });

  it('a motion of both together changes nothing', () => {
    const both = rotationAbout([20, -5, 3], [0.6, 0, 0.8], 0.4, [3, 2, 1]);
    const rest = measure(11, 21, IDENTITY_MOTION, IDENTITY_MOTION)!;
    expect(measure(11, 21, both, both)!).toBeCloseTo(rest, 9);
  });

  it('a contact whose walls were not seen, an unknown pair and a tooth without surface have no answer', () => {
    const bridged = surfaceSpaces(mesh, labels, analysisWith([0]));
    expect(bridged(11, 21, IDENTITY_MOTION, IDENTITY_MOTION)).toBeNull();
    expect(measure(12, 11, IDENTITY_MOTION, IDENTITY_MOTION)).toBeNull();
    const bare = surfaceSpaces(
      mesh,
      labels.map((t) => (t === 21 ? 0 : t)),
      analysisWith([0.3]),
    );
    expect(bare(11, 21, IDENTITY_MOTION, IDENTITY_MOTION)).toBeNull();
  });
});
