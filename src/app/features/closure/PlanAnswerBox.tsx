import { For, Show } from 'solid-js';
import type { ClosurePlan } from '../../../closure/types.ts';
import { planHeadline } from '../../../report/answer-words.ts';
import { pairLabel } from '../../../report/contact-words.ts';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';
import { chooseContact } from '../contacts/choose-contact.ts';

/** Reasons that stand open; the others unfold. */
const FIRST_REASONS = 2;

/** The planner's answer with its reasons, what is to be checked first, and the trade's rule of thumb beside it. */
export function PlanAnswerBox(props: { readonly plan: ClosurePlan }) {
  const state = useApp();
  const { preferences } = state;
  const headline = () => planHeadline(props.plan, preferences.numbering());
  const reasons = () => props.plan.reasons.filter((reason) => reason.sentence !== headline());
  const rest = () => reasons().slice(FIRST_REASONS);
  const toCheck = () => props.plan.toCheck ?? [];
  return (
    <div class="answer" data-answer={props.plan.answer}>
      <p class="headline">{headline()}</p>
      <ul class="reasons">
        <For each={reasons().slice(0, FIRST_REASONS)}>{(reason) => <li>{reason.sentence}</li>}</For>
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
      <p class="practice">
        <b>Common practice:</b> {props.plan.commonPractice.sentence}
      </p>
    </div>
  );
}
