import { describe, expect, it } from 'vitest';
import type { PlanAnswer } from '../../src/closure/types.ts';
import { contactsHeadline, contactsRemainder, planHeadline } from '../../src/report/answer-words.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan } from '../helpers/make-plan.ts';

describe('contactsHeadline', () => {
  it('counts and names the open contacts', () => {
    expect(contactsHeadline(threeSpaces(), 'iso')).toBe('3 of 13 contacts are open: 13-12, 11-21 and 23-24.');
    const one = makeAnalysis({ contacts: { '11-21': { status: 'open', gapMm: 0.4 } } });
    expect(contactsHeadline(one, 'universal')).toBe('1 of 13 contacts is open: 8-9.');
  });

  it('does not call unseen contacts closed, nor count the site of a missing tooth', () => {
    expect(contactsHeadline(makeAnalysis({ missing: [14] }), 'iso')).toBe(
      'None of the 11 contacts is measured open.',
    );
  });

  it('speaks of one contact, and of none, as a person would', () => {
    const whole = makeAnalysis({});
    const one = { ...whole, contacts: whole.contacts.slice(0, 1) };
    expect(contactsHeadline(one, 'iso')).toBe('The one contact is not measured open.');
    expect(contactsHeadline({ ...whole, contacts: [] }, 'iso')).toBe(
      'There is no contact between neighbouring teeth to measure.',
    );
  });
});

describe('contactsRemainder', () => {
  it('says for every other contact why it is not in the headline', () => {
    const sentences = contactsRemainder(threeSpaces(), 'iso').join(' ');
    expect(sentences).toContain('12-11 is undecided: its interval spans the limit of 0.10 mm.');
    expect(sentences).toContain('17-16, 16-15, 15-14, 14-13, 22-23, 24-25 and 25-26 are bridged');
    expect(sentences).toContain('26-27 can’t be measured on this scan.');
    expect(sentences).toContain('21-22 is closed.');
  });
});

describe('planHeadline', () => {
  const plan = makePlan(threeSpaces());
  const none = (answer: PlanAnswer) => planHeadline({ ...plan, answer, proposal: null }, 'iso');
  it('names stages and span of a proposal', () => {
    expect(planHeadline(plan, 'iso')).toBe('Proposed: 3 tightening stages over the span 17 to 27.');
    expect(planHeadline({ ...plan, proposal: { from: 13, to: 23, stages: 1 } }, 'universal')).toBe(
      'Proposed: 1 tightening stage over the span 6 to 11.',
    );
    expect(planHeadline({ ...plan, answer: 'not-enough' }, 'iso')).toBe(
      '3 tightening stages over the span 17 to 27 would help, but would not close every space.',
    );
    const short = plan.spans.map((span) => ({ ...span, verdict: 'too-many-stages' as const, stages: null }));
    expect(planHeadline({ ...plan, spans: short, answer: 'not-enough' }, 'iso')).toBe(
      '3 tightening stages over the span 17 to 27 would leave a space at the limit.',
    );
  });

  it('has a sentence for every answer without stages', () => {
    expect(none('none-needed')).toBe('No tightening stages are needed.');
    expect(none('floss-first')).toMatch(/floss/);
    expect(none('new-plan')).toMatch(/more than 3 tightening stages/);
    expect(none('not-by-tightening')).toMatch(/can’t be closed by tightening/);
  });
});
