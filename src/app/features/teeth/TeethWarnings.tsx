import { For, Show } from 'solid-js';
import { sentenceIn } from '../../../teeth/sentence-in.ts';
import { useApp } from '../../kernel/app-context.ts';
import { canRenumber, withJaw, withTeethRenumbered } from '../../kernel/case-inputs.ts';
import { withSidesExchanged } from '../../kernel/exchange-sides.ts';

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
                {/* Told to exchange twice, it would be as before: not until the teeth are told apart anew. */}
                <Show
                  when={
                    warning.code === 'NUMBERS_MIRRORED' &&
                    controller.results.jobs.segment.state().kind !== 'running'
                  }
                >
                  <MirrorButtons />
                </Show>
              </div>
            </li>
          )}
        </For>
      </ul>
    </Show>
  );
}

/** The two ways in which numbers come to run the wrong way round, and what puts each right. */
function MirrorButtons() {
  const { controller } = useApp();
  const other = () => (controller.inputs().jaw === 'upper' ? 'lower' : 'upper');
  const earlier = () => controller.earlier().length;
  return (
    <>
      <div class="button-row">
        <button type="button" class="button small" onClick={() => controller.change(withSidesExchanged)}>
          Exchange right and left
        </button>
        <button
          type="button"
          class="button small"
          onClick={() => controller.change((inputs) => withJaw(inputs, other()))}
        >
          It is the {other()} jaw
        </button>
      </div>
      {/* Nobody knows from here whether those were clicked from the same side. */}
      <Show when={earlier() > 0}>
        <p class="small">
          Either changes this scan alone;{' '}
          {earlier() === 1 ? 'the earlier scan keeps' : 'the earlier scans keep'} the numbers{' '}
          {earlier() === 1 ? 'it has' : 'they have'}. Where those run the wrong way round, too, take the
          newest scan out under Follow-up, put the earlier one right, and give the newest again.
        </p>
      </Show>
    </>
  );
}
