import { Show } from 'solid-js';
import { Choice } from '../../components/Choice.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { withJaw } from '../../kernel/case-inputs.ts';
import { BrushSelect } from './BrushSelect.tsx';
import { JAW_FIRST } from './place-click.ts';

const JAWS = [
  { value: 'upper', text: 'Upper' },
  { value: 'lower', text: 'Lower' },
] as const;

const MODES = [
  { value: 'click-tooth', text: 'Click teeth', title: 'Key T' },
  { value: 'click-gum', text: 'Click gum', title: 'Key G' },
  { value: 'paint', text: 'Paint', title: 'Key B' },
  { value: 'look', text: 'Only look', title: 'Key Esc' },
] as const;

/** Which jaw, and what a click on the scan means. */
export function ClickControls() {
  const { controller, worksheet } = useApp();
  const jaw = () => controller.inputs().jaw;
  return (
    <>
      <div class="choice-row">
        <Choice
          label="Jaw"
          options={JAWS}
          value={jaw()}
          onChange={(value) => {
            controller.change((inputs) => withJaw(inputs, value));
            if (controller.notice()?.sentence === JAW_FIRST) controller.dismissNotice();
            if (controller.inputs().clicks.length === 0) worksheet.setMode('click-tooth');
          }}
        />
        <Choice
          label="A click on the scan"
          options={MODES}
          value={worksheet.mode()}
          disabled={jaw() === null}
          onChange={worksheet.setMode}
        />
      </div>
      <Show when={worksheet.mode() === 'paint'}>
        <BrushSelect />
      </Show>
      <Show when={worksheet.mode() === 'click-tooth' && controller.inputs().clicks.length === 0 && jaw()}>
        {(which) => (
          <p class="hint">
            Seen from above with the front teeth at the top, the patient’s right lies on the{' '}
            {which() === 'upper' ? 'left' : 'right'} of the picture in{' '}
            {which() === 'upper' ? 'an upper' : 'a lower'} jaw.
          </p>
        )}
      </Show>
      <p class="hint">
        <Show when={jaw()} fallback="Say first which jaw the scan shows.">
          {worksheet.mode() === 'click-tooth' &&
            'Click each tooth once near the middle of its crown, from one end of the arch to the other. Drag turns the scan. To correct a tooth choose its number below and click what belongs to it; Delete on a pin removes it.'}
          {worksheet.mode() === 'click-gum' &&
            'Click where the labels took gum for a tooth: the place becomes gum, everything else stays.'}
          {worksheet.mode() === 'paint' &&
            'Drag over the scan: from a tooth over what belongs to it, or from the gum over what does not. Beside the scan a drag turns it. One stroke is one step of undo.'}
          {worksheet.mode() === 'look' && 'Clicks change nothing now; drag to turn the scan.'}
        </Show>
      </p>
    </>
  );
}
