import { createUniqueId } from 'solid-js';
import type { RecordHeading } from '../../../report/record-heading.ts';
import { keepTyped } from '../../components/keep-typed.ts';
import { useApp } from '../../kernel/app-context.ts';

const MOST = 200;
const NOBODY: RecordHeading = { patient: '', practice: '' };

/** Whose record it is: optional, kept in the case, printed at the head of the report and nowhere else. */
export function HeadingFields() {
  return (
    <fieldset class="heading-fields">
      <legend>Head of the report, optional</legend>
      <HeadingField part="patient" label="Patient" />
      <HeadingField part="practice" label="Practice" />
      <p class="small quiet">
        Kept in this case on this device and printed on the report; no other file carries it. A number of your
        own says enough.
      </p>
    </fieldset>
  );
}

function HeadingField(props: { readonly part: keyof RecordHeading; readonly label: string }) {
  const { controller } = useApp();
  const id = createUniqueId();
  const heading = () => controller.inputs().heading ?? NOBODY;
  const take = (text: string) =>
    controller.change(
      (inputs) => ({ ...inputs, heading: { ...(inputs.heading ?? NOBODY), [props.part]: text.trim() } }),
      `heading-${props.part}`,
    );
  return (
    <div class="heading-field">
      <label for={id}>{props.label}</label>
      <input
        id={id}
        type="text"
        maxLength={MOST}
        autocomplete="off"
        ref={keepTyped(() => heading()[props.part])}
        onInput={(event) => take(event.currentTarget.value)}
      />
    </div>
  );
}
