import { For, Show } from 'solid-js';
import { archOrder, formatTooth } from '../../../teeth/notation.ts';
import type { ToothNumber } from '../../../teeth/types.ts';
import { useApp } from '../../kernel/app-context.ts';
import { clickedTeeth } from '../../kernel/case-inputs.ts';

type CellState = 'clicked' | 'missing' | 'open';

const STATE_WORDS: Readonly<Record<CellState, string>> = {
  clicked: 'clicked',
  missing: 'missing',
  open: 'not clicked',
};

/** The sixteen places of the jaw, from the patient's right to left. Choosing one says where the next click goes. */
export function ArchStrip() {
  const { controller, worksheet, preferences } = useApp();
  const order = () => archOrder(controller.inputs().jaw ?? 'upper');
  const stateOf = (tooth: ToothNumber): CellState => {
    if (controller.inputs().missing.includes(tooth)) return 'missing';
    return clickedTeeth(controller.inputs()).includes(tooth) ? 'clicked' : 'open';
  };
  const name = (tooth: ToothNumber) => formatTooth(tooth, preferences.numbering());
  const choose = (tooth: ToothNumber) => {
    const again = worksheet.nextTooth() === tooth;
    worksheet.setNextTooth(again ? null : tooth);
    if (!again) worksheet.setMode('click-tooth');
  };
  return (
    <div class="arch-strip-block">
      <fieldset class="arch-strip" data-numbering={preferences.numbering()}>
        <legend class="visually-hidden">Places of the jaw: where the next click goes</legend>
        <For each={order()}>
          {(tooth) => (
            <button
              type="button"
              class="arch-cell"
              data-state={stateOf(tooth)}
              data-fixed={controller.inputs().fixed.includes(tooth)}
              aria-pressed={worksheet.nextTooth() === tooth}
              aria-label={`${name(tooth)}, ${STATE_WORDS[stateOf(tooth)]}`}
              onClick={() => choose(tooth)}
            >
              {name(tooth)}
            </button>
          )}
        </For>
      </fieldset>
      <p class="arch-strip-legend">
        <span>patient’s right</span>
        <span class="next-click">
          <Show when={worksheet.nextTooth()} fallback="Numbers follow by themselves">
            {(tooth) => <>The next click is {name(tooth())}</>}
          </Show>
        </span>
        <span>patient’s left</span>
      </p>
    </div>
  );
}
