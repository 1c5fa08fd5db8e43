import { makeArch, type SyntheticArch } from '../../fixtures/make-arch.ts';
import { movePoint, type RigidMotion, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { vertexAt } from '../../src/geometry/vec3.ts';
import { seededNormal } from './random.ts';
import { SMALL_ARCH, smallArch } from './small-arch.ts';

/*
 * Four upper incisors of the project's own generator at two times, the same crowns in another pose and with other noise:
 * 12-11 0.08 mm (the scanner bridges it) opens to 0.45, 11-21 0.50 closes to 0.25, 21-22 touches at both.
 */

/** Added to the generator's own 0.010 mm, which is drawn from the same seed as the crowns' sizes. */
const MORE_NOISE_MM = 0.006;

let later: SyntheticArch | null = null;

export function earlierArch(): SyntheticArch {
  return smallArch();
}

/** Made once for all files that share a thread: nobody writes into it. */
export function laterArch(): SyntheticArch {
  later ??= inPose(
    makeArch({ ...SMALL_ARCH, gaps: { '12-11': 0.45, '11-21': 0.25 } }),
    rotationAbout([0, 0, 0], [0.3, -1, 0.6], 2.2, [35, -12, 60]),
    5,
  );
  return later;
}

/** The arch elsewhere, with noise of its own. The truth stays in the old pose. */
function inPose(arch: SyntheticArch, pose: RigidMotion, seed: number): SyntheticArch {
  const normal = seededNormal(seed);
  const positions = new Float32Array(arch.positions.length);
  for (let i = 0; i < positions.length / 3; i += 1) {
    const p = movePoint(pose, vertexAt(arch.positions, i));
    positions.set(
      p.map((x) => x + MORE_NOISE_MM * normal()),
      3 * i,
    );
  }
  const clicks = arch.clicks.clicks.map(({ tooth, point }) => ({
    tooth,
    point: movePoint(pose, point as Vec3),
  }));
  return { ...arch, positions, clicks: { ...arch.clicks, clicks } };
}
