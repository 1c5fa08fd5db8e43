import { Show } from 'solid-js';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { useApp } from '../../kernel/app-context.ts';
import { withClickRenumbered } from '../../kernel/case-inputs.ts';
import { ToothSelect } from './ToothSelect.tsx';

/** The number that was given to the last click is not sure: ask. */
export function ToothQuestionBox() {
  const { controller, preferences, worksheet } = useApp();
  return (
    <Show when={worksheet.question()}>
      {(question) => (
        <div class="question" role="status">
          <p>{sentenceIn(question(), preferences.numbering())}</p>
          <div class="button-row">
            <span>It is tooth</span>
            <ToothSelect
              label="Number of the tooth that was clicked last"
              value={question().tooth}
              onChange={(to) => {
                controller.change((inputs) => withClickRenumbered(inputs, question().click, to));
                worksheet.setQuestion(null);
              }}
            />
            <button type="button" class="button small" onClick={() => worksheet.setQuestion(null)}>
              That is right
            </button>
          </div>
        </div>
      )}
    </Show>
  );
}
