import { describe, expect, it } from 'vitest';
import { drawSpec, madeSpec, wideSpec } from './made-specs.ts';

describe('madeSpec', () => {
  it('draws the same mouth for the same seed and another for another', () => {
    expect(drawSpec(3, 0)).toEqual(drawSpec(3, 0));
    expect(drawSpec(3, 1).gaps).not.toEqual(drawSpec(3, 0).gaps);
    expect(drawSpec(2, 0).gaps).not.toEqual(drawSpec(3, 0).gaps);
    expect([drawSpec(2, 0).jaw, drawSpec(3, 0).jaw]).toEqual(['lower', 'upper']);
  });

  it('stays within what is promised: four spaces, noise of 5 to 20 um, edges of 0.2 to 0.3 mm, webs below 0.4 mm', () => {
    for (let seed = 1; seed <= 50; seed += 1) {
      const spec = drawSpec(seed, 0);
      const gaps = Object.values(spec.gaps);
      expect(gaps).toHaveLength(4);
      for (const gap of gaps) expect(gap > 0.1 && gap < 0.8).toBe(true);
      expect(spec.noiseMm >= 0.005 && spec.noiseMm <= 0.02).toBe(true);
      expect(spec.toothEdgeMm >= 0.2 && spec.toothEdgeMm <= 0.3).toBe(true);
      expect(2 * spec.scanner.largestRadiusMm).toBeLessThanOrEqual(0.4);
    }
  });

  it('returns a draw that can be laid out', () => {
    expect([drawSpec(3, 0), drawSpec(3, 1), drawSpec(3, 2)]).toContainEqual(madeSpec(3));
  });
});

describe('wideSpec', () => {
  it('covers noise of 5 to 20 um, edges of 0.1 to 0.3 mm, spaces of 0.06 to 0.7 mm, webs up to 0.4 mm', () => {
    const specs = Array.from({ length: 12 }, (_, i) => wideSpec(i + 1));
    for (const { gaps, noiseMm, toothEdgeMm, scanner } of specs) {
      expect(Object.keys(gaps)).toHaveLength(5);
      for (const gap of Object.values(gaps)) expect(gap >= 0.06 && gap <= 0.7).toBe(true);
      expect(noiseMm >= 0.005 && noiseMm <= 0.02).toBe(true);
      expect(toothEdgeMm >= 0.1 && toothEdgeMm <= 0.3).toBe(true);
      expect(scanner.radiusMm < scanner.largestRadiusMm && scanner.largestRadiusMm <= 0.2).toBe(true);
    }
    expect(new Set(specs.map(({ toothEdgeMm }) => toothEdgeMm)).size).toBe(12);
    expect(wideSpec(3)).toEqual(specs[2]);
  });
});
