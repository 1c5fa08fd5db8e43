import { expect, it } from 'vitest';
import { giveBack } from '../../src/geometry/give-back.ts';

it('empties an array where the engine can give memory back, and leaves it as it is elsewhere, and shared memory', () => {
  const array = new Uint8Array([1, 2, 3]);
  giveBack(array);
  expect(array.length).toBe('transfer' in ArrayBuffer.prototype ? 0 : 3);
  giveBack(array);
  const shared = new Uint8Array(new SharedArrayBuffer(2));
  giveBack(shared);
  expect(shared.length).toBe(2);
});
