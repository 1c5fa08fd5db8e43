import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_SENSITIVITY, planSensitivity } from '../../src/closure/sensitivity.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';
import { analysisOf, gapsAt, saysOf } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

const SETTINGS = DEFAULT_CLOSURE_SETTINGS;

function caseOf(named: Record<string, number>, u95Mm = 0.03): Analysis {
  const arch = textbookArch(gapsAt(UPPER_14, named));
  return analysisOf(arch, {
    says: saysOf(arch.gaps).map((said) => (said.valueMm === null ? said : { ...said, u95Mm })),
  });
}

describe('sensitivity of the proposal', () => {
  it('nothing moves: every draw is the plan', () => {
    const found = planSensitivity(caseOf({ '11-21': 0.4 }, 0), SETTINGS, {
      ...DEFAULT_SENSITIVITY,
      resistanceSpread: 0,
    });
    expect(found).toMatchObject({
      verdict: 'robust',
      sameSpanShare: 1,
      sameStagesShare: 1,
      stagesRange: [2, 2],
    });
    expect(found.outcomes).toEqual([{ answer: 'tighten', from: 13, to: 23, share: 1 }]);
  });

  it('the same seed gives the same answer, another seed nearly the same', () => {
    const analysis = caseOf({ '11-21': 0.4 });
    const first = planSensitivity(analysis, SETTINGS);
    expect(planSensitivity(analysis, SETTINGS)).toEqual(first);
    const other = planSensitivity(analysis, SETTINGS, { ...DEFAULT_SENSITIVITY, seed: 7 });
    expect(other).not.toEqual(first);
    expect(Math.abs(other.sameSpanShare - first.sameSpanShare)).toBeLessThan(0.12);
  });

  it('spaces before the first molars: only the whole arch closes them, whatever the resistances', () => {
    const found = planSensitivity(caseOf({ '16-15': 0.3, '25-26': 0.3 }), SETTINGS);
    expect(found.verdict).toBe('robust');
    expect(found.dependsOn).toEqual([]);
    expect(found.sentence).toMatch(
      /^Robust: tried 200 times with the measured spaces varied within their intervals and the resistances of the teeth by up to 30 %, every time the same span is proposed\./,
    );
  });

  it('a proposal near the limit hangs on the space itself', () => {
    // 13-23 opens 0.23 of the space behind each canine; the limit of 0.10 is crossed at 0.435 mm.
    const found = planSensitivity(caseOf({ '11-21': 0.4 }), SETTINGS);
    expect(found.verdict).toBe('depends');
    expect(found.dependsOn[0]).toEqual({ kind: 'space', toothA: 11, toothB: 21 });
    expect(found.sentence).toContain('Depends on the space 11-21');
  });

  it('the share of draws is the share of the interval in which the plan itself holds', () => {
    const wide = caseOf({ '11-21': 0.4 }, 0.1);
    const found = planSensitivity(wide, SETTINGS, { draws: 1000, seed: 3, resistanceSpread: 0 });
    // The full plan over a fine walk through the interval 0.3 to 0.5 mm, with the geometry left as measured.
    let same = 0;
    const steps = 100;
    for (let i = 0; i < steps; i += 1) {
      const space = 0.3 + (0.2 * (i + 0.5)) / steps;
      const contacts = wide.contacts.map((c) =>
        c.gap === null ? c : { ...c, gap: { ...c.gap, valueMm: space } },
      );
      const plan = planClosure({ ...wide, contacts }, SETTINGS);
      if (plan.proposal?.from === 13 && plan.proposal.to === 23) same += 1;
    }
    expect(same / steps).toBeGreaterThan(0.5);
    expect(same / steps).toBeLessThan(0.9);
    expect(Math.abs(found.sameSpanShare - same / steps)).toBeLessThan(0.05);
  });

  describe('contacts that were not seen', () => {
    /** 11-21 open, everything else as told; the rest closed. */
    const bridgedAt = (names: readonly string[], upperBoundMm: number | null): Analysis => {
      const arch = textbookArch(gapsAt(UPPER_14, { '11-21': 0.25 }));
      return analysisOf(arch, {
        says: saysOf(arch.gaps).map((said, k) =>
          names.includes(`${UPPER_14[k]}-${UPPER_14[k + 1]}`)
            ? { status: 'bridged', valueMm: null, upperBoundMm }
            : said,
        ),
      });
    };

    it('decide where they may hide more than the limit outside the span: by the share of their bound above it', () => {
      const found = planSensitivity(bridgedAt(['15-14'], 0.2), SETTINGS, {
        draws: 1000,
        seed: 5,
        resistanceSpread: 0,
      });
      expect(found).toMatchObject({ verdict: 'depends', sameSpanShare: 1, hidden: { contacts: 1 } });
      // 13 to 23 holds as long as 15-14, which it does not touch, hides no more than 0.10 of its 0.20 mm.
      expect(found.hidden!.sameSpanShare).toBeGreaterThan(0.45);
      expect(found.hidden!.sameSpanShare).toBeLessThan(0.55);
      expect(found.hidden!.outcomes.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
      expect(found.dependsOn).toEqual([{ kind: 'hidden', toothA: 15, toothB: 14 }]);
      expect(found.sentence).toMatch(
        /^Depends on what was not seen\. By what was measured alone: .* The contact that was not seen may hide a space of any size up to its bound: tried so 1000 times, \d\d\d times stages over 13 to 23 close what is open.* and .*\. Floss at 15-14 first of all settles which\.$/,
      );
    });

    it('do not where floss has spoken, or where the bound lies below the limit', () => {
      const held = { ...SETTINGS, floss: [{ toothA: 15, toothB: 14, finding: 'closed' as const }] };
      for (const [analysis, settings] of [
        [bridgedAt(['15-14'], 0.2), held],
        [bridgedAt(['15-14'], 0.09), SETTINGS],
      ] as const) {
        expect(planSensitivity(analysis, settings).hidden).toBeNull();
        expect(planSensitivity(analysis, settings).verdict).toBe('robust');
      }
    });

    it('without a bound cannot be tried: counted, and nothing is called robust', () => {
      const found = planSensitivity(bridgedAt(['15-14'], null), SETTINGS);
      expect(found).toMatchObject({ hidden: null, untried: 1, verdict: 'depends', sameSpanShare: 1 });
      expect(found.sentence).toMatch(
        /^Robust as far as was measured: .* One contact that was not seen has no bound/,
      );
    });

    it('make "floss first" hang on them: by the share of the bound above the limit', () => {
      const arch = textbookArch(gapsAt(UPPER_14, {}));
      const analysis = analysisOf(arch, {
        says: saysOf(arch.gaps).map((said, k) =>
          UPPER_14[k] === 12 ? { status: 'bridged', valueMm: null, upperBoundMm: 0.4 } : said,
        ),
      });
      const found = planSensitivity(analysis, SETTINGS, { draws: 1000, seed: 5, resistanceSpread: 0 });
      expect(planClosure(analysis, SETTINGS).answer).toBe('floss-first');
      // Nothing is to be closed as long as no more than 0.10 of the 0.40 mm hides there.
      expect(found.hidden!.sameSpanShare).toBeGreaterThan(0.2);
      expect(found.hidden!.sameSpanShare).toBeLessThan(0.3);
      expect(found.verdict).toBe('depends');
      expect(found.dependsOn).toEqual([{ kind: 'hidden', toothA: 12, toothB: 11 }]);
      expect(found.sentence).toMatch(
        /^No space was measured: tried 1000 times with the resistances of the teeth varied by up to 0 %, every time no contact is shown to be open\. .* bound: tried so 1000 times, (?:.* )?2\d\d times no stages are needed[,. ]/,
      );
    });

    it('are all there is where no space was measured, and what never comes out is not said as a count', () => {
      const arch = textbookArch(gapsAt(UPPER_14, {}));
      const analysis = analysisOf(arch, {
        says: saysOf(arch.gaps).map(() => ({ status: 'bridged' as const, valueMm: null, upperBoundMm: 0.4 })),
      });
      expect(planSensitivity(analysis, SETTINGS).sentence).toMatch(
        /^No space was measured: tried 200 times with the resistances of the teeth varied by up to 30 %, every time no contact is shown to be open\. Each of the 13 contacts that were not seen may hide a space of any size up to its bound: tried so 200 times, .*\. Floss .*settles which\.$/,
      );
    });

    it('are not said to be all there is where floss has settled what was measured', () => {
      const arch = textbookArch(gapsAt(UPPER_14, {}));
      const analysis = analysisOf(arch, {
        says: saysOf(arch.gaps).map((said, k) => {
          if (UPPER_14[k] === 11) return { status: 'undecided', valueMm: 0.125, u95Mm: 0.03 };
          return UPPER_14[k] === 12 ? { status: 'bridged', valueMm: null, upperBoundMm: 0.4 } : said;
        }),
      });
      const floss = [{ toothA: 11, toothB: 21, finding: 'closed' as const }];
      expect(planSensitivity(analysis, { ...SETTINGS, floss }).sentence).toMatch(
        /^All spaces that were measured are settled by floss: tried 200 times with the resistances of the teeth varied by up to 30 %, every time no contact is shown to be open\. /,
      );
      expect(planSensitivity(analysis, SETTINGS).sentence).toMatch(/^Depends on the space 11-21: /);
    });

    it('say how many they are when the proposal holds all the same', () => {
      const found = planSensitivity(bridgedAt(['12-11'], 0.12), { ...SETTINGS, spanRule: 'terminal-molars' });
      expect(found.verdict).toBe('robust');
      expect(found.sentence).toContain(
        'The contact that was not seen may hide a space of any size up to its bound: tried so 200 times, every time the same span is proposed.',
      );
    });
  });

  it('what comes out in no draw is not said as "in none of them", which could be misread: only what does', () => {
    const arch = textbookArch(gapsAt(UPPER_14, {}));
    const analysis = analysisOf(arch, {
      says: saysOf(arch.gaps).map(() => ({ status: 'undecided' as const, valueMm: 0.145, u95Mm: 0.05 })),
    });
    expect(planClosure(analysis, SETTINGS).answer).toBe('floss-first');
    const found = planSensitivity(analysis, SETTINGS);
    expect(found.sameSpanShare).toBe(0);
    expect(found.sentence).toMatch(
      /^Depends on several inputs together: tried 200 times with the measured spaces varied within their intervals and the resistances of the teeth by up to 30 %, (?:\d+ times|every time) (?:stages over|a new plan)/,
    );
  });

  it('nothing is called robust that rests on a place being empty of which nobody said so', () => {
    const found = (absent: readonly ToothNumber[], missing: readonly ToothNumber[], more = {}) => {
      const arch = makeAnalysis({
        missing: absent,
        contacts: { '13-12': { status: 'open', gapMm: 0.3, u95Mm: 0.03 } },
      });
      const contacts = arch.contacts.map((contact) =>
        contact.status === 'bridged' ? { ...contact, upperBoundMm: 0.02 } : contact,
      );
      return planSensitivity(
        { ...arch, contacts, missing },
        { ...SETTINGS, spanRule: 'terminal-molars', ...more },
      );
    };
    const robust = found([25], [25]);
    expect(robust).toMatchObject({ verdict: 'robust', sameSpanShare: 1 });
    const unsaid = found([25], []);
    expect(unsaid).toMatchObject({ verdict: 'depends', sameSpanShare: 1 });
    expect(unsaid.sentence).toBe(
      `${robust.sentence.replace('Robust', 'Robust as far as was measured')} The contacts of 25 could not be tried: its place was taken for empty every time, which nobody has said.`,
    );
    expect(found([15, 25], [], { numbering: 'universal' }).sentence).toContain(
      ' The contacts of 4 and 13 could not be tried: their places were taken for empty every time,',
    );
  });

  it('an undecided space is open in the draws in which it lies above the limit: closed form', () => {
    const arch = textbookArch(gapsAt(UPPER_14, {}));
    const analysis = analysisOf(arch, {
      says: saysOf(arch.gaps).map((said, k) =>
        UPPER_14[k] === 11 ? { status: 'undecided', valueMm: 0.125, u95Mm: 0.03 } : said,
      ),
    });
    expect(planClosure(analysis, SETTINGS).answer).toBe('floss-first');
    const found = planSensitivity(analysis, SETTINGS, { draws: 1000, seed: 5, resistanceSpread: 0 });
    // 0.095 to 0.155 mm: 0.005 of 0.06 lie at or below the limit of 0.10
    expect(found.verdict).toBe('depends');
    expect(Math.abs(found.sameSpanShare - 0.005 / 0.06)).toBeLessThan(0.03);
    expect(found.dependsOn).toEqual([{ kind: 'space', toothA: 11, toothB: 21 }]);
    expect(found.sentence).toMatch(
      /^Depends on the space 11-21: tried 1000 times with .* varied .*, \d+ times stages over .* and .* times no stages are needed\.$/,
    );
    expect(found.sentence).not.toContain('no stages are needed ');
  });

  it('is held against the plan that stands, not against what the plane alone would say', () => {
    const analysis = caseOf({ '11-21': 0.4 });
    const inPlane = planSensitivity(analysis, SETTINGS);
    const stands = { answer: 'tighten', proposal: { from: 17, to: 27, stages: 3 } } as const;
    const found = planSensitivity(analysis, SETTINGS, DEFAULT_SENSITIVITY, stands);
    const whole = inPlane.outcomes.find(({ from, to }) => from === 17 && to === 27);
    expect(found.sameSpanShare).toBe(whole?.share ?? 0);
    expect(inPlane.sameSpanShare).toBeGreaterThan(found.sameSpanShare);
    expect(found.outcomes).toEqual(inPlane.outcomes);
    expect(found.sentence).toContain('without that the plan itself would say 13 to 23 with 2 stages.');
    expect(inPlane.sentence).not.toContain('moved crowns');
  });

  it('counts every draw once', () => {
    const found = planSensitivity(caseOf({ '13-12': 0.25, '11-21': 0.35, '22-23': 0.6 }), SETTINGS);
    expect(found.outcomes.reduce((sum, outcome) => sum + outcome.share, 0)).toBeCloseTo(1, 12);
    expect(found.draws).toBe(200);
    expect(found.sameStagesShare).toBeLessThanOrEqual(found.sameSpanShare);
  });

  it('says what came out how many times, each in words that stand alone', () => {
    const { sentence } = planSensitivity(caseOf({ '11-21': 0.4 }), SETTINGS);
    expect(sentence).toMatch(/, \d+ times stages over 13 to 23 close what is open and /);
    expect(sentence).not.toMatch(/draw|: \d/);
  });

  it('tells counts that add up to the draws', () => {
    const { sentence } = planSensitivity(caseOf({ '11-21': 0.4 }), SETTINGS);
    const [, list] = /by up to 30 %, (.*?)\./.exec(sentence)!;
    const told = [...list!.matchAll(/(?:(\d+) times|once) [a-z]/g)].map(([, count]) => Number(count ?? 1));
    expect(told.length).toBeGreaterThan(1);
    const sum = told.reduce((all, count) => all + count, 0);
    expect(sum, sentence).toBe(200);
  });

  it('an arch with nothing open, and one without contacts', () => {
    expect(planSensitivity(caseOf({}), SETTINGS)).toMatchObject({ verdict: 'robust', stagesRange: null });
    const empty = { ...caseOf({}), teeth: [], contacts: [] };
    expect(planSensitivity(empty, SETTINGS)).toMatchObject({ verdict: 'robust', sameSpanShare: 1 });
  });
});
