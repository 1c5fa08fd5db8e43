import * as v from 'valibot';
import type { PlannedSpace } from '../contacts/compare-contacts.ts';
import { inputError } from '../geometry/archgap-error.ts';
import { schemaFault } from '../geometry/schema-fault.ts';
import { finite, list, nonNegative, orNull } from './scan-facts-json.ts';

/** What a later scan is held against: the proposal of a plan. */
export interface PlannedOutcome {
  /** SHA-256 of the scan the plan was made for. */
  readonly sha256: readonly string[];
  /** The proposed span; null when the plan proposes none. */
  readonly span: { readonly from: string; readonly to: string; readonly stages: number | null } | null;
  /** Of every contact of the arch after the proposed stages; empty without a proposal. */
  readonly planned: readonly PlannedSpace[];
}

/** A plan as its file holds it. */
export interface ReadPlan extends PlannedOutcome {
  /** SHA-256 of the result.json that it was made from; null where the file does not say. */
  readonly resultSha256: string | null;
  /** The spaces it began with, of every contact of the arch; null where there was no number. */
  readonly before: readonly {
    readonly toothA: number;
    readonly toothB: number;
    readonly beforeMm: number | null;
  }[];
}

const tooth = v.pipe(v.string(), v.regex(/^[1-4][1-8]$/, 'expected an ISO 3950 number such as "13"'));
const planSchema = v.object({
  schema: v.literal('archgap-plan/1'),
  sources: list(v.object({ sha256: v.string() })),
  result_sha256: v.optional(orNull(v.string()), null),
  proposal: orNull(v.object({ from: tooth, to: tooth, stages: orNull(nonNegative) })),
  spans: list(
    v.object({
      from: tooth,
      to: tooth,
      contacts: list(
        v.object({
          a: tooth,
          b: tooth,
          before_mm: orNull(finite),
          counted_from: v.picklist(['scan', 'floss', 'nothing']),
          counted_mm: finite,
          after_mm: finite,
          after_max_stages_mm: orNull(finite),
        }),
      ),
    }),
  ),
});

/**
 * Reads the part of a `plan.json` that a later scan is compared with.
 * @throws ArchgapError `PLAN_INVALID`
 */
export function readPlanJson(text: string): ReadPlan {
  let raw: unknown;
  try {
    raw = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (cause) {
    throw planInvalid('it is not JSON', cause);
  }
  const parsed = v.safeParse(planSchema, raw);
  if (!parsed.success) {
    const issue = parsed.issues[0];
    throw planInvalid(`${v.getDotPath(issue) ?? 'the top level'}: ${schemaFault(issue, planSchema)}`);
  }
  const { sources, result_sha256: resultSha256, proposal, spans } = parsed.output;
  const sha256 = sources.map((source) => source.sha256);
  const before = (spans[0]?.contacts ?? []).map((contact) => ({
    toothA: Number(contact.a),
    toothB: Number(contact.b),
    beforeMm: contact.before_mm,
  }));
  if (proposal === null) return { sha256, resultSha256, before, span: null, planned: [] };
  const span = spans.find(({ from, to }) => from === proposal.from && to === proposal.to);
  if (span === undefined) throw planInvalid(`the proposed span ${proposal.from}-${proposal.to} is not in it`);
  const planned = span.contacts.map((contact) => ({
    toothA: Number(contact.a),
    toothB: Number(contact.b),
    countedMm: contact.counted_from === 'nothing' ? null : contact.counted_mm,
    // Where the whole motion needs more than the stages ordered, those are what was to be expected.
    afterMm: contact.after_max_stages_mm ?? contact.after_mm,
  }));
  return {
    sha256,
    resultSha256,
    before,
    span: { from: span.from, to: span.to, stages: proposal.stages },
    planned,
  };
}

function planInvalid(found: string, cause?: unknown): Error {
  return inputError(
    'PLAN_INVALID',
    `The plan.json of the earlier case is wrong (${found}); expected the file that "archgap plan" writes. Plan again, or take it out of the folder.`,
    { cause },
  );
}
