import { createSignal, For, Show } from 'solid-js';
import { pairLabel } from '../../../report/contact-words.ts';
import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { overClosureAt, withOverClosure } from '../../kernel/case-inputs.ts';

const MOST_MM = 0.5;

/** Contacts that are to be closed beyond touching. Off unless the user asks for it, contact by contact. */
export function OverClosure() {
  const { controller, preferences } = useApp();
  const [asked, setAsked] = createSignal(false);
  const count = () => controller.inputs().closure.targets?.length ?? 0;
  const on = () => asked() || count() > 0;
  const contacts = () =>
    (controller.results.analysis()?.contacts ?? []).filter(({ status }) => status !== 'missing-tooth');
  const turn = (wanted: boolean) => {
    setAsked(wanted);
    if (!wanted && count() > 0)
      controller.change((inputs) => ({ ...inputs, closure: { ...inputs.closure, targets: [] } }));
  };
  return (
    <div class="over-closure">
      <label class="check">
        <input
          type="checkbox"
          checked={on()}
          onChange={(event) => turn(event.currentTarget.checked)}
          aria-describedby="over-closure-meaning"
        />
        <span>Over-closure: close single contacts beyond touching</span>
      </label>
      <p class="small quiet" id="over-closure-meaning">
        More motion is programmed than the space asks for, so that the teeth still press on each other when
        part of it is not expressed. The plan then shows a space below zero there: that much is programmed
        beyond touching, not expected in the mouth. It loads the teeth; only a clinician can say where that is
        wanted.
      </p>
      <Show when={on()}>
        <div class="settings-grid">
          <For each={contacts()}>
            {(contact) => (
              <NumberField
                label={`${pairLabel(contact.toothA, contact.toothB, preferences.numbering())}, beyond touching`}
                unit="mm"
                value={overClosureAt(controller.inputs(), contact)}
                min={0}
                max={MOST_MM}
                step={0.01}
                onChange={(overMm) =>
                  controller.change(
                    (inputs) => withOverClosure(inputs, contact, overMm),
                    `over-closure-${contact.toothA}-${contact.toothB}`,
                  )
                }
              />
            )}
          </For>
        </div>
      </Show>
    </div>
  );
}
