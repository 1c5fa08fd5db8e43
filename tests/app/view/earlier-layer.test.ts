import { type Mesh, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { makeEarlierLayer } from '../../../src/app/view/earlier-layer.ts';
import { movePoint, movePositions, rotationAbout } from '../../../src/geometry/rigid.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { vertexAt } from '../../../src/geometry/vec3.ts';
import { alignArch } from '../../../src/teeth/align-arch.ts';
import { earlierArch } from '../../helpers/earlier-later.ts';

const POSE = rotationAbout([0, 0, 0], [1, 3, -2], 2.8, [70, -20, 15]);

describe('makeEarlierLayer', () => {
  it('draws the earlier scan where the alignment puts it: every vertex within 0.05 mm of its true place', async () => {
    const arch = earlierArch();
    const teeth = arch.truth.teeth.map(({ tooth, centre }) => ({ tooth, centre: centre as Vec3 }));
    const later = { positions: movePositions(POSE, arch.positions), triangles: arch.triangles };
    const { motion } = await alignArch({ mesh: arch, labels: arch.labelsPerTriangle, teeth }, later);
    const layer = makeEarlierLayer();
    const normals = new Float32Array(arch.positions.length);
    const scan = { positions: arch.positions, normals, triangles: arch.triangles };
    layer.set({ scanId: 'a', scan, motion, share: 0.5 });
    layer.object.updateMatrixWorld(true);
    const mesh = layer.object.children[1] as Mesh;
    const drawn = mesh.geometry.getAttribute('position');
    let worst = 0;
    for (let v = 0; v < drawn.count; v += 97) {
      const at = new Vector3().fromBufferAttribute(drawn, v).applyMatrix4(mesh.matrixWorld);
      const truth = new Vector3(...movePoint(POSE, vertexAt(arch.positions, v)));
      worst = Math.max(worst, at.distanceTo(truth));
    }
    expect(worst).toBeLessThan(0.05);
    layer.dispose();
  }, 60_000);

  it('is not there without a share or without an earlier scan', () => {
    const layer = makeEarlierLayer();
    const scan = {
      positions: new Float32Array(9),
      normals: new Float32Array(9),
      triangles: new Uint32Array([0, 1, 2]),
    };
    layer.set({ scanId: 'a', scan, motion: POSE, share: 0 });
    expect(layer.object.visible).toBe(false);
    // The scan comes once; afterwards only how it is shown.
    layer.set({ scanId: 'a', scan: null, motion: POSE, share: 0.2 });
    expect(layer.object.visible).toBe(true);
    const held = () =>
      (layer.object.children as Mesh[]).map(({ geometry }) => geometry.getAttribute('position'));
    expect(held().map((drawn) => drawn?.count)).toEqual([3, 3]);
    layer.set(null);
    expect(layer.object.visible).toBe(false);
    // Nothing of a scan stays behind when its case is closed; it can come back.
    expect(held()).toEqual([undefined, undefined]);
    layer.set({ scanId: 'a', scan, motion: POSE, share: 0.2 });
    expect(held().map((drawn) => drawn?.count)).toEqual([3, 3]);
    layer.dispose();
  });
});
