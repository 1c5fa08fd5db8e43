import { expect, it } from 'vitest';
import { assumptions } from '../../src/closure/assumptions.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { analysisOf } from './make-analysis.ts';
import { textbookArch } from './textbook-arch.ts';

it('every default is told with its source, custom and memory marked', () => {
  const text = assumptions(DEFAULT_CLOSURE_SETTINGS).join('\n');
  expect(text).toContain('from memory');
  expect(text).toContain('At most 0.25 mm per stage: common practice');
  expect(text).toContain('At most 1.2 degrees per stage: Cortona');
  expect(text).toContain('80 % of what is programmed is expressed: after Palone');
  expect(text).toContain('At most 3 stages: common practice');
  expect(text).not.toContain('set by the user');
});

it('a setting that was changed is told as the user’s', () => {
  const changed = assumptions({ ...DEFAULT_CLOSURE_SETTINGS, expression: 0.6, maxStages: 1 });
  expect(changed).toContain('60 % of what is programmed is expressed: set by the user.');
  expect(changed).toContain('At most 1 stage: set by the user.');
});

it('the plan carries them', () => {
  const plan = planClosure(analysisOf(textbookArch(new Array<number>(13).fill(0))), DEFAULT_CLOSURE_SETTINGS);
  expect(plan.assumptions).toEqual(assumptions(DEFAULT_CLOSURE_SETTINGS));
});
