import { afterEach, describe, expect, it, vi } from 'vitest';
import { isShared, shared } from '../../src/geometry/shared-array.ts';
import { givesMemoryBack } from '../helpers/gives-memory-back.ts';

afterEach(() => void vi.unstubAllGlobals());

describe('shared', () => {
  it.each([Float32Array.of(1.5, -2), Uint32Array.of(7, 2 ** 32 - 1), Uint8Array.of(0, 255)])(
    'puts the numbers into memory that threads share, and gives their own back',
    (array) => {
      vi.stubGlobal('crossOriginIsolated', true);
      givesMemoryBack();
      const numbers = Array.from(array);
      const one = shared(array);
      expect([isShared(one), Array.from(one), array.length]).toEqual([true, numbers, 0]);
      expect(shared(one)).toBe(one);
    },
  );

  it('gives the array itself where nothing is shared', () => {
    vi.stubGlobal('crossOriginIsolated', false);
    const array = Uint8Array.of(1);
    expect([shared(array) === array, isShared(array)]).toEqual([true, false]);
  });

  it('does so on an isolated page of a browser without shared memory, too', () => {
    vi.stubGlobal('crossOriginIsolated', true);
    vi.stubGlobal('SharedArrayBuffer', undefined);
    const array = Float32Array.of(1.5);
    expect([shared(array) === array, isShared(array), array[0]]).toEqual([true, false, 1.5]);
  });
});
