import { describe, expect, it } from 'vitest';
import { neighbourPairs } from '../../src/contacts/neighbour-pairs.ts';

describe('neighbourPairs', () => {
  it('goes from the patient right to left through a whole jaw', () => {
    const pairs = neighbourPairs('lower', [31, 32, 33, 34, 35, 36, 37, 41, 42, 43, 44, 45, 46, 47]);
    expect(pairs.map((p) => `${p.toothA}-${p.toothB}`).join(' ')).toBe(
      '47-46 46-45 45-44 44-43 43-42 42-41 41-31 31-32 32-33 33-34 34-35 35-36 36-37',
    );
    expect(pairs.every((p) => p.between.length === 0)).toBe(true);
  });

  it('marks the site of absent teeth and makes no pair beyond the last tooth', () => {
    expect(neighbourPairs('upper', [18, 15, 11, 21])).toEqual([
      { toothA: 18, toothB: 15, between: [17, 16] },
      { toothA: 15, toothB: 11, between: [14, 13, 12] },
      { toothA: 11, toothB: 21, between: [] },
    ]);
    expect(neighbourPairs('upper', [16])).toEqual([]);
    expect(neighbourPairs('upper', [36, 37])).toEqual([]);
  });
});
