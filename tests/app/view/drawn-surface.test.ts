// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { slotOf } from '../../../src/app/view/display-mesh.ts';
import { drawSurface, roomFor } from '../../../src/app/view/drawn-surface.ts';

/** Four squares in a row, 1 mm each: teeth 12, 11, 21 and gum. */
const positions = new Float32Array(30);
for (let i = 0; i < 5; i++) positions.set([i, 0, 0, i, 1, 0], 6 * i);
const mesh = {
  positions,
  triangles: Uint32Array.from(
    [0, 1, 2, 3].flatMap((c) => [2 * c, 2 * c + 2, 2 * c + 1, 2 * c + 1, 2 * c + 2, 2 * c + 3]),
  ),
  normals: Float32Array.from({ length: 30 }, (_, i) => (i % 3 === 2 ? 1 : 0)),
  colors: Uint8Array.from({ length: 30 }, (_, i) => i),
  shade: Float32Array.from({ length: 10 }, (_, i) => i / 10),
};
const labels = Uint8Array.of(12, 12, 11, 11, 21, 21, 0, 0);

describe('drawSurface', () => {
  it('doubles border vertices with all that belongs to them, and leaves the mesh alone', () => {
    const before = structuredClone(mesh);
    const { arrays } = drawSurface(mesh, labels, 20);
    expect(mesh).toEqual(before);
    const { position, shade, normal, paint, index } = arrays;
    expect([position.length, normal.length, shade.length, paint.length]).toEqual([60, 60, 20, 80]);
    for (let t = 0; t < labels.length; t++) {
      for (let c = 0; c < 3; c++) {
        const v = index[3 * t + c]!;
        const from = mesh.triangles[3 * t + c]!;
        expect(v).toBeLessThan(16);
        expect(shade[v]).toBe(mesh.shade[from]);
        expect(position[3 * v]).toBeCloseTo(positions[3 * from]!, 5);
        expect(normal[3 * v + 2]).toBe(1);
        expect([...paint.subarray(4 * v, 4 * v + 4)]).toEqual([
          ...mesh.colors.subarray(3 * from, 3 * from + 3),
          slotOf(labels[t]!),
        ]);
      }
    }
  });

  it('outlines a border between teeth for both, one towards the gum for the tooth', () => {
    const { outlines } = drawSurface(mesh, labels, 20);
    expect([...outlines.slot].toSorted()).toEqual([12, 11, 11, 21, 21].map(slotOf).toSorted());
  });

  it('takes more room where the border needs it', () => {
    expect(drawSurface(mesh, labels, 10).arrays.shade.length).toBe(roomFor(16));
    expect(drawSurface(mesh, null, 10).arrays.shade.length).toBe(10);
  });
});
