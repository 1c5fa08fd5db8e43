import { describe, expect, it } from 'vitest';
import { crossingCurvature } from '../../src/geometry/graph-crossing-curvature.ts';
import { vertexNormals } from '../../src/geometry/triangle-geometry.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { heightField } from '../helpers/height-field.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';

/** A surface with folds, of so many mm from point to point. */
function folded(stepMm: number) {
  const { mesh } = heightField(
    4,
    4,
    stepMm,
    (x, y) => 0.3 * Math.sin(2 * x) * Math.cos(3 * y),
    () => 0,
  );
  return makeScanFromArrays(Float32Array.from(mesh.positions), mesh.triangles);
}

describe('prepareTeeth', () => {
  // Edges of 0.2, 0.3 and 1 mm are smoothed in four rounds, in one or two, and in none.
  it.each([0.2, 0.3, 1])(
    'leaves normals alone that others draw with, and goes by them: %f mm',
    async (stepMm) => {
      const scan = folded(stepMm);
      const known = vertexNormals(scan);
      const given = await prepareTeeth(scan, undefined, known);
      expect(known).toEqual(vertexNormals(scan));
      const { fabric } = await prepareTeeth(scan);
      // The caller may give its normals away.
      known.fill(Number.NaN);
      const curvature = crossingCurvature(fabric);
      expect(crossingCurvature(given.fabric)).toEqual(curvature);
      expect(curvature.some((value) => Math.abs(value) > 0.1)).toBe(true);
    },
  );
});
