import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import type { ClickSet, ToothMap } from '../../src/teeth/types.ts';
import { seededRandom } from '../helpers/random.ts';

/**
 * Clicks as an unsteady hand would set them: every click of a tooth is moved to a random place of that crown (by the
 * true labels) within a distance, uniform over the area of the triangles whose centroid is that near. A click with
 * no such triangle, and gum clicks, stay.
 *
 * @param reachMm - straight distance from the given click
 * @param seed - equal seeds give equal clicks
 */
export function jitterClicks(
  mesh: TriangleMesh,
  area: Float32Array,
  truth: ToothMap,
  clicks: ClickSet,
  reachMm: number,
  seed: number,
): ClickSet {
  const random = seededRandom(seed);
  return {
    ...clicks,
    clicks: clicks.clicks.map((click) => {
      if (click.tooth === 'gum') return click;
      const near: number[] = [];
      let total = 0;
      for (let t = 0; t < truth.length; t += 1) {
        if (truth[t] !== click.tooth || distance(centroidOf(mesh, t), click.point) > reachMm) continue;
        near.push(t);
        total += area[t]!;
      }
      let left = random() * total;
      const chosen = near.find((t) => {
        left -= area[t]!;
        return left <= 0;
      });
      return chosen === undefined ? click : { tooth: click.tooth, point: centroidOf(mesh, chosen) };
    }),
  };
}

function centroidOf(mesh: TriangleMesh, t: number): Vec3 {
  const at = (c: number): number =>
    (mesh.positions[3 * mesh.triangles[3 * t]! + c]! +
      mesh.positions[3 * mesh.triangles[3 * t + 1]! + c]! +
      mesh.positions[3 * mesh.triangles[3 * t + 2]! + c]!) /
    3;
  return [at(0), at(1), at(2)];
}
