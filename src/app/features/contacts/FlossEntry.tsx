import { createUniqueId, Show } from 'solid-js';
import type { FlossFinding } from '../../../closure/types.ts';
import type { Contact } from '../../../contacts/types.ts';
import { Choice } from '../../components/Choice.tsx';
import { NumberField } from '../../components/NumberField.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { flossAt, withFloss } from '../../kernel/case-inputs.ts';
import { contactKey } from '../../kernel/display-types.ts';
import { today } from '../../platform/browser.ts';

const FINDINGS = [
  { value: 'untried', text: 'Not tried' },
  { value: 'closed', text: 'It holds' },
  { value: 'open', text: 'It passes freely' },
] as const;

/** What floss or a strip said in the mouth, and when. It stands beside the scan's status and the plan may use it. */
export function FlossEntry(props: { readonly contact: Contact }) {
  const { controller } = useApp();
  const id = createUniqueId();
  const found = () => flossAt(controller.inputs(), props.contact);
  /** What is entered at one field of one contact in a row is one step; another field or contact begins its own. */
  const set = (
    field: string,
    finding: FlossFinding['finding'] | null,
    spaceMm: number | null,
    foundOn: string | null,
  ) =>
    controller.change(
      (inputs) => withFloss(inputs, props.contact, finding, spaceMm, foundOn),
      `floss-${contactKey(props.contact)}-${field}`,
    );
  const foundOn = () => found()?.foundOn ?? null;
  return (
    <div class="floss">
      <Choice
        label="Floss or strip in the mouth"
        options={FINDINGS}
        value={found()?.finding ?? 'untried'}
        onChange={(value) => set('finding', value === 'untried' ? null : value, null, foundOn() ?? today())}
      />
      <Show when={found()}>
        {(entry) => (
          <div class="floss-facts">
            <Show when={entry().finding === 'open'}>
              <NumberField
                label="Thickest strip that passed, 0 = none tried"
                unit="mm"
                value={entry().spaceMm ?? 0}
                min={0}
                max={2}
                step={0.01}
                onChange={(spaceMm) => set('strip', 'open', spaceMm > 0 ? spaceMm : null, foundOn())}
              />
            </Show>
            <div class="number-field">
              <label for={id}>Found on</label>
              <input
                id={id}
                type="date"
                max={today()}
                value={foundOn() ?? ''}
                onChange={(event) =>
                  set('day', entry().finding, entry().spaceMm ?? null, event.currentTarget.value || null)
                }
              />
            </div>
          </div>
        )}
      </Show>
    </div>
  );
}
