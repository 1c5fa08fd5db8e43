import { type ArchModel, asksForClosing, isOpenAfter } from './arch-model.ts';
import type { CandidateSpan } from './candidate-spans.ts';
import type { SpanSolution } from './solve-span.ts';
import type { StageCount } from './stages.ts';
import { CONTACT_TOLERANCE_MM } from './tolerances.ts';
import type { ClosureSettings, PlannedContact, Reason } from './types.ts';
import { isOpenBefore, type WeighedSpan } from './weigh-span.ts';
import { endsUpText, listText, mm, stagesText, type ToothWords, toothWords } from './wording.ts';

const FIRST_MOLAR = 6;

type Infeasible = Extract<SpanSolution, { kind: 'contradiction' | 'absurd' }>;

/** Why one span is judged as it is, in sentences with numbers. */
export function spanReasons(
  model: ArchModel,
  weighed: WeighedSpan,
  contacts: readonly PlannedContact[],
  settings: ClosureSettings,
): Reason[] {
  const words = toothWords(settings);
  const { span, solution, stages, verdict } = weighed;
  if (solution.kind === 'contradiction' || solution.kind === 'absurd' || stages === null) {
    return solution.kind === 'contradiction' || solution.kind === 'absurd'
      ? [infeasibleReason(model, settings, words, solution)]
      : [];
  }
  if (verdict === 'nothing-to-close') {
    return [
      { code: 'NOTHING_TO_CLOSE', sentence: 'No contact inside this span is open, so it moves nothing.' },
      ...contactReasons(model, settings, words, contacts),
    ];
  }
  const reasons = [
    stageReason(model, settings, words, stages),
    ...(stages.ordered === null ? remainReasons(model, weighed, settings, words) : []),
    ...contactReasons(model, settings, words, contacts),
  ];
  if (verdict === 'closes-all') {
    const spaces = weighed.afterMm.filter((_, k) => model.contacts[k]!.kind === 'contact');
    reasons.push({
      code: 'CLOSES_ALL',
      sentence: `No contact of the arch stays open: the widest measures ${mm(Math.max(0, ...spaces))} mm by the model, the limit is ${mm(settings.limitMm)} mm.`,
    });
  }
  return [...reasons, ...placeReasons(model, span, words)];
}

function infeasibleReason(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
  solution: Infeasible,
): Reason {
  const fixed = model.teeth.filter((tooth) => tooth.fixed).map((tooth) => words.tooth(tooth.tooth));
  const because = fixed.length > 0 ? ` Fixed: ${listText(fixed)}.` : '';
  if (solution.kind === 'absurd') {
    const tooth = words.tooth(model.teeth[solution.tooth]!.tooth);
    const turn = (Math.abs(solution.turnRad) * 180) / Math.PI;
    return {
      code: 'ABSURD_MOTION',
      sentence: `Tooth ${tooth} would have to travel ${mm(solution.travelMm)} mm and turn ${turn.toFixed(1)} degrees to close ${mm(solution.closedMm)} mm, so tightening does not close this span.${because}`,
    };
  }
  const contact = solution.contact === null ? null : model.contacts[solution.contact]!;
  if (contact === null) {
    return {
      code: 'CONTRADICTION',
      sentence: `No motion of the teeth closes this span without forcing teeth into their neighbours.${because}`,
    };
  }
  const open = asksForClosing(contact, settings.limitMm);
  return {
    code: 'CONTRADICTION',
    sentence: `No motion of the free teeth ${open ? 'closes' : 'keeps'} ${words.pair(contact)}${open ? ` (${mm(contact.countedMm)} mm)` : ' as it is'}: the teeth on both sides are held.${because}`,
  };
}

function stageReason(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
  stages: StageCount,
): Reason {
  const tooth = stages.body === null ? null : model.teeth[stages.body]!;
  const limit =
    stages.by === 'motion'
      ? `${mm(settings.perStageMm)} mm`
      : `${((settings.perStageRad * 180) / Math.PI).toFixed(1)} degrees`;
  const expressed = `${Math.round(settings.expression * 100)} %`;
  const mover = tooth === null ? '' : ` Tooth ${words.tooth(tooth.tooth)} decides.`;
  if (stages.ordered !== null) {
    const short =
      stages.needed > stages.ordered
        ? ` The whole motion would need ${stages.needed}; ${stages.ordered} already leave no contact open.`
        : '';
    return {
      code: 'STAGES',
      sentence: `${stagesText(stages.ordered)} at up to ${limit} per stage, of which ${expressed} is expected to be expressed.${mover}${short}`,
    };
  }
  return {
    code: 'TOO_MANY_STAGES',
    sentence: `The whole motion needs ${stagesText(stages.needed)} at up to ${limit} per stage and ${expressed} expression, more than the most allowed (${settings.maxStages}).${mover}`,
  };
}

/** `After 3 stages, 0.10 mm would remain at 23-24.` */
function remainReasons(
  model: ArchModel,
  weighed: WeighedSpan,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const remains = remainText(model, weighed, settings, words);
  return remains === null
    ? []
    : [
        {
          code: 'REMAINS_AFTER_MOST_STAGES',
          sentence: `After ${stagesText(settings.maxStages)}, ${remains} would remain.`,
        },
      ];
}

/**
 * What the most stages allowed leave: every space that stays open, else the widest. Null where no space is left or
 * the whole motion needs no more than those stages.
 */
export function remainText(
  model: ArchModel,
  { afterMostMm }: WeighedSpan,
  settings: ClosureSettings,
  words: ToothWords,
): string | null {
  if (afterMostMm === null) return null;
  const places = model.contacts
    .map((contact, k) => ({ contact, spaceMm: afterMostMm[k]! }))
    .filter(({ contact, spaceMm }) => contact.kind === 'contact' && spaceMm > CONTACT_TOLERANCE_MM);
  const open = places.filter(({ contact, spaceMm }) => isOpenAfter(contact, spaceMm, settings.limitMm));
  const widest = [...places].sort((p, q) => q.spaceMm - p.spaceMm).slice(0, 1);
  const told = open.length > 0 ? open : widest;
  if (told.length === 0) return null;
  return listText(told.map(({ contact, spaceMm }) => `${mm(spaceMm)} mm at ${words.pair(contact)}`));
}

function contactReasons(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
  contacts: readonly PlannedContact[],
): Reason[] {
  const reasons: Reason[] = [];
  const remains: string[] = [];
  const opens: string[] = [];
  const opensBelow: string[] = [];
  contacts.forEach((contact, k) => {
    const place = model.contacts[k]!;
    const text = `${words.pair(contact)} ${endsUpText(contact)}`;
    const open = isOpenAfter(place, contact.afterMm, settings.limitMm);
    if (open && isOpenBefore(place, settings))
      remains.push(contact.opened ? `${text} (wider than before)` : text);
    else if (open) opens.push(text);
    else if (contact.opened) opensBelow.push(text);
  });
  if (remains.length > 0)
    reasons.push({ code: 'REMAINS_OPEN', sentence: `Stays open: ${listText(remains)}.` });
  if (opens.length > 0) reasons.push({ code: 'OPENS', sentence: `Opens ${listText(opens)}.` });
  if (opensBelow.length > 0) {
    reasons.push({
      code: 'OPENS_BELOW_LIMIT',
      sentence: `Widens ${listText(opensBelow)}, not above the limit of ${mm(settings.limitMm)} mm.`,
    });
  }
  return reasons;
}

function placeReasons(model: ArchModel, span: CandidateSpan, words: ToothWords): Reason[] {
  const reasons: Reason[] = [];
  const held = model.contacts.slice(span.first, span.last).filter((contact) => contact.kind === 'site');
  if (held.length > 0) {
    reasons.push({
      code: 'SITE_HELD',
      sentence: `The width of the site without a measured contact is held: ${listText(held.map((c) => words.pair(c)))}.`,
    });
  }
  const fixed = model.teeth.slice(span.first, span.last + 1).filter((tooth) => tooth.fixed);
  if (fixed.length > 0) {
    reasons.push({
      code: 'FIXED_INSIDE',
      sentence: `Fixed and not moved: ${listText(fixed.map((t) => words.tooth(t.tooth)))}.`,
    });
  }
  for (const [end, behind] of [
    [span.first, span.first - 1],
    [span.last, span.last + 1],
  ] as const) {
    const tooth = model.teeth[end]!;
    const next = model.teeth[behind];
    if (tooth.digit === FIRST_MOLAR && next && next.digit > FIRST_MOLAR && next.side === tooth.side) {
      reasons.push({
        code: 'ENDS_AT_FIRST_MOLAR',
        sentence: `Ends at the first molar ${words.tooth(tooth.tooth)} although ${words.tooth(next.tooth)} stands behind it.`,
      });
    }
  }
  return reasons;
}
