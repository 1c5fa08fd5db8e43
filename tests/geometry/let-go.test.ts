import { describe, expect, it } from 'vitest';
import { letGo } from '../../src/geometry/let-go.ts';
import { givesMemoryBack } from '../helpers/gives-memory-back.ts';

describe('letGo', () => {
  it('empties arrays where the engine can, views of one buffer and none at all among them', () => {
    givesMemoryBack();
    const buffer = new ArrayBuffer(24);
    const [whole, part, other] = [
      new Uint8Array(buffer),
      new Float32Array(buffer, 8, 2),
      new Float64Array(3),
    ];
    letGo(whole, null, part, other);
    expect([whole.length, part.length, other.length]).toEqual([0, 0, 0]);
  });

  it('leaves shared memory as it is', () => {
    givesMemoryBack();
    const shared = new Uint8Array(new SharedArrayBuffer(4)).fill(7);
    letGo(shared);
    expect(shared).toEqual(new Uint8Array(new SharedArrayBuffer(4)).fill(7));
  });
});
