import { describe, expect, it } from 'vitest';
import { madeSpec } from './made-specs.ts';

describe('madeSpec', () => {
  const first = madeSpec(3);

  it('gives the same mouth for the same seed and another for another', () => {
    expect(madeSpec(3)).toEqual(first);
    expect(madeSpec(2).gaps).not.toEqual(first.gaps);
    expect(madeSpec(2).jaw).toBe('lower');
  });

  it('stays within what acceptance names: four spaces, noise of 5 to 20 um, edges of 0.1 to 0.3 mm', () => {
    expect(Object.values(first.gaps)).toHaveLength(4);
    for (const gap of Object.values(first.gaps)) expect(gap > 0.1 && gap < 0.8).toBe(true);
    expect(first.noiseMm).toBeGreaterThanOrEqual(0.005);
    expect(first.noiseMm).toBeLessThanOrEqual(0.02);
    expect(first.toothEdgeMm).toBeGreaterThanOrEqual(0.1);
    expect(first.toothEdgeMm).toBeLessThanOrEqual(0.3);
    expect(2 * first.scanner.largestRadiusMm).toBeLessThanOrEqual(0.4);
  });
});
