import { For, Show } from 'solid-js';
import { listWords } from '../../../report/contact-words.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import type { HelpQuestion } from '../../../teeth/propose-clicks.ts';
import type { ToothNumber } from '../../../teeth/types.ts';
import { useApp } from '../../kernel/app-context.ts';
import { withMissing } from '../../kernel/case-inputs.ts';
import { counted } from '../../kernel/words.ts';

/** Proposed places of the teeth that were not clicked: accepted one by one, all at once, or not at all. */
export function ClickHelpBox() {
  const { clickHelp, preferences, worksheet } = useApp();
  const name = (tooth: ToothNumber) => formatTooth(tooth, preferences.numbering());
  return (
    <Show when={worksheet.mode() === 'click-tooth'}>
      <For each={clickHelp.questions()}>{(question) => <MissingQuestion question={question} />}</For>
      <Show when={clickHelp.proposals().length > 0}>
        <div class="question click-help" role="status">
          <p>
            {counted(clickHelp.proposals().length, 'place', 'places')} proposed (
            {listWords(clickHelp.proposals().map((proposal) => name(proposal.tooth)))}): accept all, or click
            on. Drag a hollow pin to where the tooth really is.
          </p>
          <div class="button-row">
            <button type="button" class="button small" onClick={clickHelp.acceptAll}>
              Accept all <kbd>A</kbd>
            </button>
            <button type="button" class="button small quiet" onClick={clickHelp.dismiss}>
              Take them off <kbd>Esc</kbd>
            </button>
          </div>
        </div>
      </Show>
      <label class="check click-help-switch">
        <input
          type="checkbox"
          checked={preferences.clickHelp()}
          onChange={(event) => preferences.setClickHelp(event.currentTarget.checked)}
        />
        <span>Propose the other places after two clicks</span>
      </label>
    </Show>
  );
}

/** The row seems to have no crown for a number: the user says whether it is missing. */
function MissingQuestion(props: { readonly question: HelpQuestion }) {
  const { controller, preferences } = useApp();
  const name = (tooth: ToothNumber) => formatTooth(tooth, preferences.numbering());
  const teeth = () => props.question.teeth;
  return (
    <div class="question" role="status">
      <p>
        {props.question.code === 'TOOTH_SEEMS_MISSING'
          ? `By widths and embrasures the row has no crown for ${teeth().map(name).join(' or ')}.`
          : `The row would fit nearly as well without ${teeth().map(name).join(' or ')}.`}{' '}
        {teeth().length === 1 ? 'Is it missing or was it extracted?' : 'Is one of them missing or extracted?'}{' '}
        If not, click it.
      </p>
      <div class="button-row">
        <For each={teeth()}>
          {(tooth) => (
            <button
              type="button"
              class="button small"
              onClick={() => controller.change((inputs) => withMissing(inputs, tooth, true))}
            >
              {name(tooth)} is missing
            </button>
          )}
        </For>
      </div>
    </div>
  );
}
