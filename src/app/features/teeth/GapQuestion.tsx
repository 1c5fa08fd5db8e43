import { For, Show } from 'solid-js';
import { listWords } from '../../../report/contact-words.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { useApp } from '../../kernel/app-context.ts';
import { unexplainedGaps, withMissing } from '../../kernel/case-inputs.ts';

/** Numbers between clicked teeth that are neither clicked nor said to be missing: ask. */
export function GapQuestion() {
  const { controller, worksheet, preferences } = useApp();
  const gaps = () => unexplainedGaps(controller.inputs());
  const name = (tooth: number) => formatTooth(tooth, preferences.numbering());
  return (
    <Show when={gaps().length > 0}>
      <div class="question" role="status">
        <p>
          {listWords(gaps().map(name))} {gaps().length === 1 ? 'lies' : 'lie'} between clicked teeth but{' '}
          {gaps().length === 1 ? 'is' : 'are'} not clicked. Until you click{' '}
          {gaps().length === 1 ? 'it' : 'them'} or say what is missing,{' '}
          {gaps().length === 1 ? 'its place is' : 'their places are'} taken for{' '}
          {gaps().length === 1 ? 'the site of a missing tooth' : 'sites of missing teeth'}.
        </p>
        <div class="button-row">
          <For each={gaps()}>
            {(tooth) => (
              <>
                <button
                  type="button"
                  class="button small"
                  onClick={() => controller.change((inputs) => withMissing(inputs, tooth, true))}
                >
                  {name(tooth)} is missing
                </button>
                <button
                  type="button"
                  class="button small quiet"
                  onClick={() => {
                    worksheet.setNextTooth(tooth);
                    worksheet.setMode('click-tooth');
                  }}
                >
                  Click {name(tooth)} now
                </button>
              </>
            )}
          </For>
        </div>
      </div>
    </Show>
  );
}
