import { ROOT_AREA_SOURCE } from './root-areas.ts';
import { DEFAULT_CLOSURE_SETTINGS } from './settings.ts';
import type { ClosureSettings, SpanRule } from './types.ts';
import { mm, stagesText } from './wording.ts';

const SPAN_RULE_WORDS: Record<SpanRule, readonly string[]> = {
  shortest: [],
  'widens-nothing': ['Only spans that widen no contact are proposed: set by the user.'],
  'terminal-molars': ['Only the span from the last tooth to the last tooth is proposed: set by the user.'],
};

/**
 * What the numbers of a plan rest on, one sentence each: the model, the resistances, and every setting with its source
 * or the word that the user set it.
 */
export function assumptions(settings: ClosureSettings): string[] {
  const basis = (name: keyof ClosureSettings, source: string): string =>
    settings[name] === DEFAULT_CLOSURE_SETTINGS[name] ? source : 'set by the user';
  const degrees = ((settings.perStageRad * 180) / Math.PI).toFixed(1);
  return [
    'Teeth move as rigid bodies in the occlusal plane; tipping, height and the time of treatment are left out.',
    ROOT_AREA_SOURCE,
    `A turn counts against a shift with an arm of ${mm(settings.rotationArmMm)} mm: ${basis('rotationArmMm', 'our choice')}.`,
    `At most ${mm(settings.perStageMm)} mm per stage: ${basis('perStageMm', 'common practice, no independent source')}.`,
    `At most ${degrees} degrees per stage: ${basis('perStageRad', 'Cortona et al., Angle Orthod 2020, for one lower premolar')}.`,
    `${Math.round(settings.expression * 100)} % of what is programmed is expressed: ${basis('expression', 'after Palone et al., Angle Orthod 2023; published shares run from 55 to 87 % by movement')}.`,
    `At most ${stagesText(settings.maxStages)}: ${basis('maxStages', 'common practice, no study')}.`,
    ...SPAN_RULE_WORDS[settings.spanRule ?? 'shortest'],
  ];
}
