import { For, Show } from 'solid-js';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { useApp } from '../../kernel/app-context.ts';
import { canRenumber, withTeethRenumbered } from '../../kernel/case-inputs.ts';

/** What the segmentation noticed. */
export function TeethWarnings() {
  const { controller, preferences } = useApp();
  const warnings = () => controller.results.segmentation()?.warnings ?? [];
  return (
    <Show when={warnings().length > 0}>
      <ul class="findings">
        <For each={warnings()}>
          {(warning) => (
            <li data-severity="warning">
              <span class="finding-mark">Check</span>
              <div>
                <span>{sentenceIn(warning, preferences.numbering())}</span>
                {/* The warning is about the labels, which come later than the clicks. */}
                <Show
                  when={
                    warning.renumber && canRenumber(controller.inputs(), warning.renumber) && warning.renumber
                  }
                >
                  {(changes) => (
                    <div class="button-row">
                      <button
                        type="button"
                        class="button small"
                        onClick={() => controller.change((inputs) => withTeethRenumbered(inputs, changes()))}
                      >
                        Renumber them so
                      </button>
                    </div>
                  )}
                </Show>
              </div>
            </li>
          )}
        </For>
      </ul>
    </Show>
  );
}
