import { For, Show } from 'solid-js';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { useApp } from '../../kernel/app-context.ts';

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
              <span>{sentenceIn(warning, preferences.numbering())}</span>
            </li>
          )}
        </For>
      </ul>
    </Show>
  );
}
