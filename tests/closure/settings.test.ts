import { describe, expect, it } from 'vitest';
import { checkClosureSettings, DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ClosureSettings } from '../../src/closure/types.ts';

describe('closure settings', () => {
  it('the defaults are those of docs/method.md', () => {
    expect(DEFAULT_CLOSURE_SETTINGS).toMatchObject({
      limitMm: 0.1,
      maxStages: 3,
      perStageMm: 0.25,
      expression: 0.8,
      rotationArmMm: 4,
    });
    expect((DEFAULT_CLOSURE_SETTINGS.perStageRad * 180) / Math.PI).toBeCloseTo(1.2, 12);
    expect(() => checkClosureSettings(DEFAULT_CLOSURE_SETTINGS)).not.toThrow();
  });

  it.each<[string, Partial<ClosureSettings>]>([
    ['limit', { limitMm: -0.1 }],
    ['limit', { limitMm: Number.NaN }],
    ['most stages', { maxStages: 0 }],
    ['most stages', { maxStages: 2.5 }],
    ['motion per stage', { perStageMm: 0 }],
    ['turn per stage', { perStageRad: -1 }],
    ['rotation arm', { rotationArmMm: Number.POSITIVE_INFINITY }],
    ['expression', { expression: 0 }],
    ['expression', { expression: 1.2 }],
    ['fixed tooth', { fixed: [19] }],
    ['target', { targets: [{ toothA: 11, toothB: 21, targetMm: 0.2 }] }],
    ['strip', { floss: [{ toothA: 11, toothB: 21, finding: 'open', spaceMm: 0 }] }],
  ])('refuses a %s that no plan can be made with', (name, change) => {
    try {
      checkClosureSettings({ ...DEFAULT_CLOSURE_SETTINGS, ...change });
    } catch (error) {
      expect(error).toMatchObject({ code: 'PLAN_SETTING', kind: 'usage' });
      expect(String(error)).toContain(name);
      return;
    }
    throw new Error('was accepted');
  });
});
