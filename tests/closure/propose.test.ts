import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ClosurePlan, ClosureSettings } from '../../src/closure/types.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';
import { analysisOf, type ContactSays, gapsAt, saysOf } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

const SETTINGS = DEFAULT_CLOSURE_SETTINGS;

function planOf(
  named: Record<string, number>,
  settings: Partial<ClosureSettings> = {},
  says?: (says: ContactSays[]) => ContactSays[],
): ClosurePlan {
  const arch = textbookArch(gapsAt(UPPER_14, named));
  const said = saysOf(arch.gaps);
  return planClosure(analysisOf(arch, { says: says?.(said) ?? said }), { ...SETTINGS, ...settings });
}

function sentence(plan: ClosurePlan, code: string): string {
  const reason = plan.reasons.find((r) => r.code === code);
  if (!reason) throw new Error(`no reason ${code} among ${plan.reasons.map((r) => r.code).join(', ')}`);
  return reason.sentence;
}

const bridged = (upperBoundMm: number | null): ContactSays => ({
  status: 'bridged',
  valueMm: null,
  upperBoundMm,
});
const at = (name: string): number => UPPER_14.findIndex((t, k) => `${t}-${UPPER_14[k + 1]}` === name);
const put =
  (named: Record<string, ContactSays>) =>
  (says: ContactSays[]): ContactSays[] =>
    says.map((said, k) => named[`${UPPER_14[k]}-${UPPER_14[k + 1]}`] ?? said);

describe('no contact is open', () => {
  it('none needed when all are proven closed', () => {
    const plan = planOf({});
    expect(plan.answer).toBe('none-needed');
    expect(plan.proposal).toBeNull();
    expect(sentence(plan, 'NONE_OPEN')).toBe(
      'None of the 13 contacts is open against the limit of 0.10 mm, so no tightening stages are needed.',
    );
    expect(plan.spans.every((s) => s.stages === 0 && s.verdict === 'nothing-to-close')).toBe(true);
    expect(plan.toCheck).toEqual([]);
  });

  it('small spaces below the limit are not drawn together', () => {
    const plan = planOf({ '12-11': 0.05 });
    expect(plan.answer).toBe('none-needed');
    expect(plan.spans.every((s) => s.stages === 0)).toBe(true);
    expect(plan.spans[0]!.contacts[at('12-11')]!.afterMm).toBe(0.05);
  });

  it('floss first when bridged or undecided contacts could hide a space, with the list', () => {
    const plan = planOf({ '22-23': 0.09 }, {}, put({ '17-16': bridged(0.21), '14-13': bridged(null) }));
    expect(plan.answer).toBe('floss-first');
    expect(plan.proposal).toBeNull();
    expect(plan.toCheck).toEqual([
      { toothA: 17, toothB: 16 },
      { toothA: 14, toothB: 13 },
      { toothA: 22, toothB: 23 },
    ]);
    expect(sentence(plan, 'FLOSS_FIRST')).toBe(
      'No contact is proven open, but the scan cannot show that these are closed; check with floss first (undecided: 22-23 at 0.09 ± 0.03 mm; bridged: 17-16 up to 0.21 mm and 14-13 without a bound).',
    );
  });

  it('a bridged contact that cannot hide more than the limit needs no floss', () => {
    const plan = planOf({}, {}, put({ '17-16': bridged(0.08) }));
    expect(plan.answer).toBe('none-needed');
  });

  it('an undecided contact above the limit by its best estimate is shown closed by a span, but floss comes first', () => {
    const plan = planOf({ '12-11': 0.12 });
    expect(plan.answer).toBe('floss-first');
    const short = plan.spans[0]!;
    expect(short.stages).toBe(1);
    expect(short.contacts[at('12-11')]!.afterMm).toBe(0);
  });
});

describe('what floss said', () => {
  const floss = (name: string, finding: 'open' | 'closed', spaceMm?: number) => ({
    floss: [
      {
        toothA: UPPER_14[at(name)]!,
        toothB: UPPER_14[at(name) + 1]!,
        finding,
        ...(spaceMm === undefined ? {} : { spaceMm }),
      },
    ],
  });

  it('closed: settles a bridged contact', () => {
    const web = put({ '17-16': bridged(0.3) });
    expect(planOf({}, {}, web).answer).toBe('floss-first');
    const plan = planOf({}, floss('17-16', 'closed'), web);
    expect(plan.answer).toBe('none-needed');
    expect(plan.spans[0]!.contacts[0]!.floss).toBe('closed');
    expect(plan.spans[0]!.contacts[0]!.status).toBe('bridged');
  });

  it('open: a bridged contact is counted at the most that can hide, and closed', () => {
    const plan = planOf({}, floss('12-11', 'open'), put({ '12-11': bridged(0.18) }));
    expect(plan.answer).toBe('tighten');
    const contact = plan.spans[0]!.contacts[at('12-11')]!;
    expect(contact.beforeMm).toBeNull();
    expect(contact.countedMm).toBe(0.18);
    expect(contact.afterMm).toBe(0);
    expect(sentence(plan, 'FLOSS_WITHOUT_SIZE')).toContain('counts it at 0.18 mm, the most that can hide');
  });

  it('open with a strip: counted at the thickness of the strip', () => {
    const plan = planOf({}, floss('12-11', 'open', 0.05), put({ '12-11': bridged(0.18) }));
    expect(plan.spans[0]!.contacts[at('12-11')]!.countedMm).toBe(0.05);
    // Below the limit, yet open in the mouth: only contact will do.
    expect(plan.answer).toBe('tighten');
    expect(plan.proposal).toMatchObject({ from: 13, to: 11, stages: 1 });
  });

  it('open without size or bound: counted at the limit, and said', () => {
    const plan = planOf({}, floss('12-11', 'open'), put({ '12-11': bridged(null) }));
    expect(plan.spans[0]!.contacts[at('12-11')]!.countedMm).toBe(SETTINGS.limitMm);
    expect(sentence(plan, 'FLOSS_WITHOUT_SIZE')).toContain('counts it at 0.10 mm, for want of a bound');
  });

  it('closed on an undecided contact: counted as closed, the measured number stays beside it', () => {
    const plan = planOf({ '12-11': 0.12 }, floss('12-11', 'closed'));
    expect(plan.answer).toBe('none-needed');
    const contact = plan.spans[0]!.contacts[at('12-11')]!;
    expect(contact.beforeMm).toBe(0.12);
    expect(contact.countedMm).toBe(0);
  });

  it('a finding that disagrees with a decided contact is told, not used', () => {
    const plan = planOf({ '11-21': 0.4 }, floss('11-21', 'closed'));
    expect(plan.answer).toBe('tighten');
    expect(sentence(plan, 'FLOSS_DISAGREES')).toBe(
      'At 11-21 the scan says open (0.40 ± 0.03 mm) and floss says closed; the plan follows the scan, check again in the mouth.',
    );
  });
});

describe('something is open', () => {
  it('unsettled contacts beside an open one are a caution, they do not decide', () => {
    const plan = planOf({ '11-21': 0.4 }, {}, put({ '17-16': bridged(0.3) }));
    expect(plan.answer).toBe('tighten');
    expect(sentence(plan, 'UNSETTLED')).toContain('(bridged: 17-16 up to 0.30 mm)');
    expect(sentence(plan, 'OPEN_CONTACTS')).toBe('Open: 11-21 (0.40 ± 0.03 mm); the limit is 0.10 mm.');
  });

  it('says why every shorter span was passed over', () => {
    const plan = planOf({ '16-15': 0.3, '25-26': 0.3 });
    const passed = plan.reasons.filter((r) => r.code === 'SHORTER_SPAN').map((r) => r.sentence);
    expect(passed).toEqual([
      '13 to 23 falls short: it leaves 16-15 at 0.30 mm and 25-26 at 0.30 mm.',
      '14 to 24 falls short: it leaves 16-15 at 0.30 mm and 25-26 at 0.30 mm.',
      '15 to 25 falls short: it leaves 16-15 at 0.30 mm and 25-26 at 0.30 mm.',
      '16 to 26 falls short: it opens 17-16 by 0.22 mm and 26-27 by 0.22 mm.',
    ]);
  });

  it('more stages than allowed: a new plan, and what would remain', () => {
    const plan = planOf({ '13-12': 0.5, '11-21': 0.7, '22-23': 0.9 });
    expect(plan.answer).toBe('new-plan');
    expect(plan.proposal).toBeNull();
    const whole = plan.spans[plan.spans.length - 1]!;
    expect(whole.stages).toBeNull();
    expect(whole.stagesNeeded).toBeGreaterThan(3);
    expect(whole.verdict).toBe('too-many-stages');
    // What is shown is the whole motion; after three stages every space has closed by the same share of itself.
    expect(whole.shownShare).toBe(1);
    const share = whole.maxStagesShare!;
    expect(share).toBeLessThan(0.9);
    for (const name of ['13-12', '11-21', '22-23']) {
      const contact = whole.contacts[at(name)]!;
      expect(contact.afterMaxStagesMm).toBeCloseTo(contact.beforeMm! * (1 - share), 9);
      expect(contact.afterMm).toBe(0);
    }
    const largest = Math.max(...whole.teeth.map((t) => Math.hypot(t.dxMm, t.dyMm)));
    expect(largest * share).toBeCloseTo(3 * 0.25 * 0.8, 9);
    expect(sentence(plan, 'REMAINS_AFTER_MOST_STAGES')).toMatch(
      /^After 3 stages over 17 to 27, 0\.\d\d mm at 13-12, 0\.\d\d mm at 11-21 and 0\.\d\d mm at 22-23 would remain\.$/,
    );
    expect(whole.reasons.find((r) => r.code === 'REMAINS_AFTER_MOST_STAGES')?.sentence).toMatch(
      /^After 3 stages, 0\.\d\d mm at 13-12, /,
    );
  });

  it('when the most stages already leave nothing open they are ordered, with what the whole would need', () => {
    const plan = planOf({ '13-12': 0.25, '11-21': 0.35, '22-23': 0.62 });
    expect(plan.answer).toBe('tighten');
    const whole = plan.spans[plan.spans.length - 1]!;
    expect(whole.stagesNeeded).toBe(4);
    expect(whole.stages).toBe(3);
    expect(whole.shownShare).toBeLessThan(1);
    expect(whole.shownShare).toBe(whole.maxStagesShare);
    // The remains with their uncertainty (0.03) stay below the limit.
    const widest = Math.max(...whole.contacts.map((c) => c.afterMm));
    expect(widest).toBeGreaterThan(0.01);
    expect(widest).toBeLessThanOrEqual(0.07);
    expect(sentence(plan, 'STAGES_SUFFICE')).toBe(
      'Drawing every space to its target would need 4 stages; 3 stages already leave no contact open.',
    );
    // With a stricter limit the same three stages leave a space open, and the answer is a new plan.
    expect(planOf({ '13-12': 0.25, '11-21': 0.35, '22-23': 0.8 }, { limitMm: 0.02 }).answer).toBe('new-plan');
  });

  it('what the most stages leave at the limit is told as at the limit, on both sides of it', () => {
    // 0.67 leaves some 0.07, 0.74 some 0.14 of a limit of 0.10; what remains is known to some 0.07.
    for (const space of [0.67, 0.69, 0.7, 0.71, 0.74]) {
      const plan = planOf({ '13-12': 0.25, '11-21': 0.35, '22-23': space });
      expect(plan.answer).toBe('not-enough');
      expect(plan.proposal).toEqual({ from: 17, to: 27, stages: 3 });
      expect(sentence(plan, 'AT_LIMIT')).toMatch(
        /^17 to 27 is the shortest span that would close what is open, in 4 stages; the most allowed is 3\. After 3 stages, 0\.\d\d mm at 22-23 would remain, within its uncertainty at the limit of 0\.10 mm; one stage more would close it\.$/,
      );
      const whole = plan.spans[plan.spans.length - 1]!;
      expect(whole.stages).toBeNull();
      expect(whole.contacts[at('22-23')]!.afterMm).toBe(0);
    }
    // Well below the limit the stages do; well above it they do not.
    expect(planOf({ '13-12': 0.25, '11-21': 0.35, '22-23': 0.62 }).answer).toBe('tighten');
    expect(planOf({ '13-12': 0.25, '11-21': 0.35, '22-23': 0.85 }).answer).toBe('new-plan');
  });

  it('the whole motion is shown whatever the most stages allowed', () => {
    const named = { '13-12': 0.5, '11-21': 0.7, '22-23': 0.9 };
    const [few, many] = [planOf(named, { maxStages: 1 }), planOf(named, { maxStages: 30 })];
    few.spans.forEach((span, i) => {
      const twin = many.spans[i]!;
      expect(span.contacts.map((c) => c.afterMm)).toEqual(twin.contacts.map((c) => c.afterMm));
      expect(span.contacts.map((c) => c.opened)).toEqual(twin.contacts.map((c) => c.opened));
      expect(span.teeth).toEqual(twin.teeth);
      expect(span.arch).toEqual(twin.arch);
      expect(twin.contacts.every((c) => c.afterMaxStagesMm === null)).toBe(true);
    });
  });

  it('with stages enough the same arch closes', () => {
    const plan = planOf({ '13-12': 0.5, '11-21': 0.7, '22-23': 0.9 }, { maxStages: 10 });
    expect(plan.answer).toBe('tighten');
    expect(plan.proposal).toMatchObject({ from: 17, to: 27 });
  });

  it('the span rule of a practice decides which spans may be proposed, and is told', () => {
    // 13-23 closes with 0.09 mm behind the canines, within the limit; 17-27 widens nothing.
    const named = { '11-21': 0.4 };
    expect(planOf(named).proposal).toMatchObject({ from: 13, to: 23 });
    const clean = planOf(named, { spanRule: 'widens-nothing' });
    expect(clean.proposal).toMatchObject({ from: 17, to: 27 });
    expect(sentence(clean, 'TIGHTEN')).toContain(
      'is the shortest span that widens no contact and after which',
    );
    expect(sentence(clean, 'SHORTER_SPAN')).toBe(
      '13 to 23 would close everything, but the span rule passes it over.',
    );
    const terminal = planOf({ '11-21': 0.2 }, { spanRule: 'terminal-molars' });
    expect(terminal.proposal).toMatchObject({ from: 17, to: 27 });
    expect(terminal.assumptions!.at(-1)).toContain('last tooth to the last tooth');
    // Where the rule leaves no span that closes, no other is slipped in.
    const held = planOf(
      { '11-21': 0.2 },
      { spanRule: 'terminal-molars', fixed: [17, 16, 15, 14, 13, 12, 11, 21] },
    );
    expect(held.answer).toBe('not-by-tightening');
  });

  it('over-closure asks for more motion and is off unless asked for', () => {
    const plain = planOf({ '11-21': 0.4 });
    const over = planOf({ '11-21': 0.4 }, { targets: [{ toothA: 21, toothB: 11, targetMm: -0.1 }] });
    const whole = (plan: ClosurePlan) => plan.spans[plan.spans.length - 1]!;
    expect(whole(plain).contacts[at('11-21')]!.afterMm).toBe(0);
    expect(whole(over).contacts[at('11-21')]!.afterMm).toBeCloseTo(-0.1, 9);
    expect(whole(over).arch!.largestMotionMm).toBeCloseTo(
      whole(plain).arch!.largestMotionMm * (0.5 / 0.4),
      6,
    );
    expect(sentence(over, 'OPEN_CONTACTS')).toContain('to be over-closed by 0.10 mm');
  });

  it('an overlap is held as it is, never pushed apart', () => {
    const plan = planOf(
      { '11-21': 0.4 },
      {},
      put({ '13-12': { status: 'overlap', valueMm: -0.06, u95Mm: 0.02 } }),
    );
    for (const span of plan.spans) {
      const contact = span.contacts[at('13-12')]!;
      expect(contact.afterMm).toBeCloseTo(-0.06, 9);
      expect(contact.opened).toBe(false);
    }
  });

  it('writes numbers in the chosen numbering', () => {
    const plan = planOf({ '16-15': 0.3, '25-26': 0.3 }, { numbering: 'universal' });
    expect(sentence(plan, 'TIGHTEN')).toMatch(/^2 to 15 in 1 stage/);
    expect(planOf({ '11-21': 0.4 }, { numbering: 'palmer' }).reasons[0]!.sentence).toContain('UR1-UL1');
  });
});

it('a tooth marked as fixed that the arch does not have is told', () => {
  expect(sentence(planOf({ '11-21': 0.4 }, { fixed: [18, 36] }), 'FIXED_NOT_PRESENT')).toBe(
    'Marked as fixed but not a tooth of this arch: 18 and 36.',
  );
});

describe('a tooth that nobody spoke of', () => {
  const arch = makeAnalysis({
    missing: [25],
    contacts: { '13-12': { status: 'open', gapMm: 0.3, u95Mm: 0.03 } },
  });
  const reasonsOf = (analysis: Analysis) => planClosure(analysis, SETTINGS).reasons;

  it('is told before the answer rests on its site being empty', () => {
    expect(reasonsOf(arch).map(({ code }) => code)).not.toContain('TOOTH_NOT_CLICKED');
    expect(reasonsOf({ ...arch, missing: [] })[1]).toEqual({
      code: 'TOOTH_NOT_CLICKED',
      sentence:
        '25 has no click and is not marked missing: 24-26 is taken for an empty site, and the plan counts no contact of that tooth. Click it, or mark it missing, before anything is ordered.',
    });
  });

  it('is told where nothing is open, too', () => {
    const closed = makeAnalysis({ missing: [25] });
    expect(reasonsOf({ ...closed, missing: [] }).map(({ code }) => code)).toContain('TOOTH_NOT_CLICKED');
  });

  it('among separate crowns is one whose crown was not given', () => {
    expect(reasonsOf({ ...arch, kind: 'crowns', missing: [] })[1]).toEqual({
      code: 'TOOTH_WITHOUT_CROWN',
      sentence:
        'No crown was given for 25: 24-26 is taken for an empty site, and the plan counts no contact of that tooth. Give its crown if it stands there.',
    });
  });
});
