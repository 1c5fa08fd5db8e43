import { For, Show } from 'solid-js';
import type { ClosurePlan } from '../../../closure/types.ts';
import { firmnessSentence, planHeadline } from '../../../report/answer-words.ts';
import { pairLabel } from '../../../report/contact-words.ts';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';
import { chooseContact } from '../contacts/choose-contact.ts';

/** Reasons that must not be folded away. */
const GRAVE: ReadonlySet<string> = new Set([
  'NO_ROOM',
  'OPPOSING_APART',
  'OPPOSING_CROSSES',
  'OPPOSING_FACES_ALIKE',
  'OPPOSING_FAR',
  'SURFACES_OVERLAP',
  'TOOTH_NOT_CLICKED',
]);
const isGrave = (code: string): boolean => GRAVE.has(code);

/** Reasons that stand open; the others unfold. */
const FIRST_REASONS = 2;

/** The planner's answer with its reasons, what is to be checked first, and the trade's rule of thumb beside it. */
export function PlanAnswerBox(props: { readonly plan: ClosurePlan }) {
  const state = useApp();
  const { preferences } = state;
  const headline = () => planHeadline(props.plan, preferences.numbering());
  const reasons = () =>
    props.plan.reasons
      .filter(({ sentence }) => sentence !== headline() && sentence !== props.plan.surfaceCheck?.sentence)
      .sort((p, q) => Number(isGrave(q.code)) - Number(isGrave(p.code)));
  const grave = () => reasons().filter(({ code }) => isGrave(code)).length;
  const shown = () => reasons().slice(0, grave() + FIRST_REASONS);
  const rest = () => reasons().slice(grave() + FIRST_REASONS);
  const toCheck = () => props.plan.toCheck ?? [];
  return (
    <div class="answer" data-answer={props.plan.answer}>
      <p class="headline">{headline()}</p>
      <ul class="reasons">
        <For each={shown()}>{(reason) => <li>{reason.sentence}</li>}</For>
      </ul>
      <Show when={rest().length > 0}>
        <details class="small">
          <summary>
            {rest().length} more {rest().length === 1 ? 'reason' : 'reasons'}
          </summary>
          <ul class="reasons">
            <For each={rest()}>{(reason) => <li>{reason.sentence}</li>}</For>
          </ul>
        </details>
      </Show>
      <Show when={toCheck().length > 0}>
        <p class="to-check">
          <b>Check with floss</b> what the scan does not settle, and enter it at the contact:{' '}
          <For each={toCheck()}>
            {(pair) => (
              <button
                type="button"
                class="pair-button"
                onClick={() => chooseContact(state, contactKey(pair))}
              >
                {pairLabel(pair.toothA, pair.toothB, preferences.numbering())}
              </button>
            )}
          </For>
        </p>
      </Show>
      <Show when={firmnessSentence(props.plan)}>
        {(found) => (
          <p class="sensitivity" data-verdict={props.plan.sensitivity?.verdict}>
            <b>How firm is this?</b> {found()}
          </p>
        )}
      </Show>
      <Show when={props.plan.surfaceCheck}>
        {(check) => (
          <p class="small quiet" data-met={check().met}>
            {check().sentence}
          </p>
        )}
      </Show>
      <p class="practice">
        <b>Common practice:</b> {props.plan.commonPractice.sentence}
      </p>
    </div>
  );
}
