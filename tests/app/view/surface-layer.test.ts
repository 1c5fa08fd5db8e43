// @vitest-environment node
import { type BufferAttribute, type InstancedBufferGeometry, type Mesh, ShaderMaterial } from 'three';
import { describe, expect, it } from 'vitest';
import { slotOf } from '../../../src/app/view/display-mesh.ts';
import type { LabelledSurface } from '../../../src/app/view/display-messages.ts';
import { drawSurface } from '../../../src/app/view/drawn-surface.ts';
import { makeSurfaceLayer } from '../../../src/app/view/surface-layer.ts';
import type { ToothMap, ToothNumber } from '../../../src/teeth/types.ts';

/** Four squares in a row, 1 mm each: teeth 12, 11, 21 and gum. */
const positions = new Float32Array(30);
for (let i = 0; i < 5; i++) positions.set([i, 0, 0, i, 1, 0], 6 * i);
const triangles = Uint32Array.from(
  [0, 1, 2, 3].flatMap((c) => [2 * c, 2 * c + 2, 2 * c + 1, 2 * c + 1, 2 * c + 2, 2 * c + 3]),
);
const normals = Float32Array.from({ length: 30 }, (_, i) => (i % 3 === 2 ? 1 : 0));
const mesh = {
  positions,
  normals,
  triangles,
  colors: null,
  shade: Float32Array.from({ length: 10 }, (_, i) => i / 10),
};
const labels = Uint8Array.of(12, 12, 11, 11, 21, 21, 0, 0);
const colours = {
  toothA: '#ff0000',
  toothB: '#00ff00',
  gum: '#0000ff',
  outline: '#000000',
  plain: '#808080',
  earlier: '#8080ff',
  restoration: '#80a0c0',
};

/** What the display worker sends for these labels when nothing was shown before. */
function labelled(map: ToothMap): LabelledSurface {
  const { arrays, outlines } = drawSurface(mesh, map, 20);
  const present = [...new Set(map)].filter((label) => label !== 0) as ToothNumber[];
  return { change: { kind: 'whole', arrays }, outlines, present };
}

function shown() {
  const layer = makeSurfaceLayer();
  layer.setColours(colours);
  layer.setSurface(drawSurface(mesh, null, 20).arrays);
  layer.setLabelled(labelled(labels));
  const [surface, outline] = layer.object.children as [Mesh, Mesh];
  const material = surface.material;
  if (!(material instanceof ShaderMaterial)) throw new Error('the surface has no shader material');
  return { layer, surface, outline, uniforms: material.uniforms };
}

describe('makeSurfaceLayer', () => {
  it('draws surface and outlines in two calls', () => {
    const { layer, outline } = shown();
    expect(layer.object.children).toHaveLength(2);
    // 12-11 and 11-21 are outlined for both teeth, 21-gum for the tooth.
    expect((outline.geometry as InstancedBufferGeometry).instanceCount).toBe(5);
  });

  it('gives neighbours different tints, however many teeth are missing between', () => {
    const { layer, uniforms } = shown();
    const tint = (label: number): string => uniforms.uTint!.value[slotOf(label)].getHexString();
    expect([12, 11, 21, 0].map(tint)).toEqual(['ff0000', '00ff00', 'ff0000', '0000ff']);
    layer.setLabelled(labelled(Uint8Array.of(13, 13, 11, 11, 23, 23, 0, 0)));
    expect([13, 11, 23].map(tint)).toEqual(['ff0000', '00ff00', 'ff0000']);
  });

  it('writes the crowns’ motions where both draw calls read them, and takes them back', () => {
    const { layer, uniforms, outline } = shown();
    const motion = { centre: [1, 2, 3], axis: [0, 0, 1], shift: [0.1, 0.2, 0.3], angleRad: 0.4 } as const;
    layer.setMotions(new Map([[11, motion]]));
    expect(uniforms.uMove!.value[slotOf(11)].toArray()).toEqual([0.1, 0.2, 0.3, 0.4]);
    const material = outline.material;
    expect(material instanceof ShaderMaterial && material.uniforms.uMove).toBe(uniforms.uMove);
    layer.setMotions(new Map());
    expect(uniforms.uMove!.value[slotOf(11)].toArray()).toEqual([0, 0, 0, 0]);
  });

  it('changes the arrays of the surface in place by a patch, and tells the graphics card where', () => {
    const { layer } = shown();
    const surface = layer.object.children.find(
      (child) => child.renderOrder === 0 && 'geometry' in child,
    ) as Mesh;
    const position = surface.geometry.getAttribute('position') as BufferAttribute;
    const before = position.array.slice();
    const none = { starts: new Uint32Array(0), lengths: new Uint32Array(0) };
    const floats = { ...none, values: new Float32Array(0) };
    layer.setLabelled({
      change: {
        kind: 'patch',
        patch: {
          position: { starts: Uint32Array.of(3), lengths: Uint32Array.of(2), values: Float32Array.of(8, 9) },
          normal: floats,
          shade: floats,
          paint: { ...none, values: new Uint8Array(0) },
          index: { ...none, values: new Uint32Array(0) },
        },
      },
      outlines: { from: new Float32Array(0), to: new Float32Array(0), slot: new Float32Array(0) },
      present: [11],
    });
    before.set([8, 9], 3);
    expect(position.array).toEqual(before);
    expect(position.updateRanges).toEqual([{ start: 3, count: 2 }]);
    expect(layer.object.children).toHaveLength(1);
  });

  it('shows a scan without teeth in one plain colour and one call', () => {
    const { layer, uniforms } = shown();
    layer.setLabelled({ ...labelled(new Uint8Array(8)), present: null });
    expect(layer.object.children).toHaveLength(1);
    expect(uniforms.uTint!.value[slotOf(11)].getHexString()).toBe('808080');
    layer.clear();
    expect(layer.object.children).toHaveLength(0);
  });
});
