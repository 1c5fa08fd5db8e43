import { describe, expect, it } from 'vitest';
import { limitsOfAgreement } from '../../src/study/limits-of-agreement.ts';
import { LARGE_FIRST, MINI_FIRST, paired } from './worked-examples.ts';

describe('limitsOfAgreement', () => {
  const found = limitsOfAgreement(paired(LARGE_FIRST, MINI_FIRST));

  it('gives the published bias and limits of the two flow meters', () => {
    // Lancet 1986: mean -2.1, s 38.8, bias interval -22.0 to 17.8 (t.test() of R 4.2.2: -22.04884, 17.81354).
    expect(found.bias.value).toBeCloseTo(-2.1176, 4);
    expect(found.sd).toBeCloseTo(38.7651, 4);
    expect(found.bias.low).toBeCloseTo(-22.04884, 5);
    expect(found.bias.high).toBeCloseTo(17.81354, 5);
    // The paper took 2 standard deviations (-79.7, 75.5); with 1.96 they are:
    expect(found.lower.value).toBeCloseTo(-78.1, 2);
    expect(found.upper.value).toBeCloseTo(73.86, 2);
  });

  it('has intervals of the limits near the published ones', () => {
    // Lancet 1986, with 2 s and sqrt(3/n): -114.3 to -45.1 and 40.9 to 110.1; half-width 34.6.
    const halfWidth = (found.lower.high - found.lower.low) / 2;
    expect(Math.abs(halfWidth - 34.6)).toBeLessThan(0.6);
    expect((found.upper.high - found.upper.low) / 2).toBeCloseTo(halfWidth, 9);
  });

  it('gives the slope that R’s lm() and confint() give', () => {
    expect(found.slope!.value).toBeCloseTo(0.02868745, 7);
    expect(found.slope!.low).toBeCloseTo(-0.1593201, 6);
    expect(found.slope!.high).toBeCloseTo(0.216695, 6);
  });

  it('turns about when the occasions are exchanged, and has no slope for targets of one size', () => {
    const back = limitsOfAgreement(paired(MINI_FIRST, LARGE_FIRST));
    expect(back.bias.value).toBeCloseTo(-found.bias.value, 9);
    expect(back.lower.value).toBeCloseTo(-found.upper.value, 9);
    const level = limitsOfAgreement([
      [1, 3],
      [2, 2],
      [3, 1],
    ]);
    expect(level.slope).toBeNull();
  });
});
