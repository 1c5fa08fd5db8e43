import { describe, expect, it } from 'vitest';
import { submesh, trianglesByLabel } from '../../src/geometry/submesh.ts';

describe('trianglesByLabel', () => {
  it('lists every triangle once, under its label and in order', () => {
    const groups = trianglesByLabel(Uint8Array.from([11, 0, 21, 11, 0, 11]));
    expect([...groups].map(([label, list]) => [label, [...list]])).toEqual([
      [11, [0, 3, 5]],
      [0, [1, 4]],
      [21, [2]],
    ]);
    expect(trianglesByLabel(new Uint8Array(0)).size).toBe(0);
  });
});

describe('submesh', () => {
  it('keeps the corners of the wanted triangles and the positions as they are', () => {
    const mesh = {
      positions: new Float32Array(12),
      triangles: Uint32Array.from([0, 1, 2, 1, 3, 2, 0, 2, 3]),
    };
    const part = submesh(mesh, Uint32Array.from([2, 0]));
    expect([...part.triangles]).toEqual([0, 2, 3, 0, 1, 2]);
    expect(part.positions).toBe(mesh.positions);
  });
});
