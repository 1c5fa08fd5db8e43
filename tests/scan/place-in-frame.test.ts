import { expect, it } from 'vitest';
import { placeInFrame } from '../../src/scan/place-in-frame.ts';

const file = {
  positions: Float32Array.of(1, 2, 3, 4, 5, 6),
  triangles: Uint32Array.of(0, 1, 0),
  originMm: [100, 0, -8] as const,
};

it('moves by what the origins of both files differ, and leaves the file as it was', () => {
  const placed = placeInFrame(file, { originMm: [98, 1, -8] });
  expect([...placed.positions]).toEqual([3, 1, 3, 6, 4, 6]);
  expect(placed.triangles).toBe(file.triangles);
  expect([...file.positions]).toEqual([1, 2, 3, 4, 5, 6]);
});

it('moves nothing where both were read about one origin', () => {
  const placed = placeInFrame(file, { originMm: file.originMm });
  expect(placed.positions).toEqual(file.positions);
  expect(placed.positions).not.toBe(file.positions);
});
