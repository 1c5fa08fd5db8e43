import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ClosurePlan, ClosureSettings, PlannedContact, SpanOutcome } from '../../src/closure/types.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';

/** Hand-made plans for the tests of what leaves the tool; the numbers are invented and solve nothing. */

function makeClosureSettings(changes: Partial<ClosureSettings> = {}): ClosureSettings {
  return { ...DEFAULT_CLOSURE_SETTINGS, ...changes };
}

/** A span over the analysis' teeth; contacts inside go to zero, those at its ends open by `opensMm`. */
export function makeSpan(
  analysis: Analysis,
  from: ToothNumber,
  to: ToothNumber,
  opensMm: number,
  stages: number | null = 3,
): SpanOutcome {
  const row = analysis.teeth.map((record) => record.tooth);
  const [first, last] = [row.indexOf(from), row.indexOf(to)];
  const contacts = analysis.contacts.map((contact): PlannedContact => {
    const [a, b] = [row.indexOf(contact.toothA), row.indexOf(contact.toothB)];
    const inside = a >= first && b <= last;
    const touches = !inside && (b === first || a === last);
    const before = contact.gap?.valueMm ?? null;
    return {
      toothA: contact.toothA,
      toothB: contact.toothB,
      status: contact.status,
      beforeMm: before,
      afterMm: inside ? 0 : (before ?? 0) + (touches ? opensMm : 0),
      insideSpan: inside,
      opened: touches && opensMm > 0.01,
    };
  });
  const opens = contacts.some((contact) => contact.opened);
  const leaves = contacts.some((contact) => contact.afterMm > 0.1 && !contact.opened);
  return {
    from,
    to,
    stages,
    stagesNeeded: stages ?? 5,
    contacts,
    teeth: row.slice(first, last + 1).map((tooth, k, list) => ({
      tooth,
      mesialMm: 0.02 * Math.abs(k - list.length / 2),
      buccalMm: -0.03,
      rotationRad: k % 2 === 0 ? 0.004 : -0.002,
      dxMm: 0.01 * (list.length / 2 - k),
      dyMm: -0.03,
    })),
    arch: {
      perimeterChangeMm: -1.2,
      depthChangeMm: -0.55,
      canineWidthChangeMm: -0.21,
      molarWidthChangeMm: null,
      midlineShiftMm: -0.04,
      largestMotionMm: 0.6,
    },
    verdict:
      stages === null ? 'too-many-stages' : opens ? 'opens-others' : leaves ? 'leaves-open' : 'closes-all',
    reasons: [{ code: 'SPAN', sentence: 'The worst contact stays at 0.00 mm.' }],
  };
}

/** Spans 13 to 23 outwards to 17 to 27 over an upper arch of fourteen, the last one proposed. */
export function makePlan(analysis: Analysis, changes: Partial<ClosurePlan> = {}): ClosurePlan {
  return {
    settings: makeClosureSettings(),
    spans: [
      makeSpan(analysis, 13, 23, 0.28),
      makeSpan(analysis, 14, 24, 0.24),
      makeSpan(analysis, 15, 25, 0.19),
      makeSpan(analysis, 16, 26, 0.15),
      makeSpan(analysis, 17, 27, 0),
    ],
    answer: 'tighten',
    proposal: { from: 17, to: 27, stages: 3 },
    reasons: [
      { code: 'CLOSES_ALL', sentence: '17 to 27 closes every open contact and opens none.' },
      {
        code: 'SHORTER_SPANS_OPEN',
        sentence:
          '16 to 26 would open the contacts behind both first molars by 0.15 mm, above the limit of 0.10 mm.',
      },
    ],
    commonPractice: {
      from: 17,
      to: 27,
      agrees: true,
      sentence:
        'terminal molar to terminal molar, because posterior teeth were moved; the arithmetic agrees.',
    },
    ...changes,
  };
}
