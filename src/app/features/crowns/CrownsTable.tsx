import { For } from 'solid-js';
import type { Contact } from '../../../contacts/types.ts';
import { pairLabel } from '../../../report/contact-words.ts';
import { formatMmOr, formatSignedMm, formatU95, NO_NUMBER } from '../../../report/format-mm.ts';
import { StatusMark } from '../../components/StatusMark.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';

/** Every contact from the patient's right to left, both crowns of each. */
export function CrownsTable(props: { readonly contacts: readonly Contact[] }) {
  return (
    <div class="table-frame">
      <table class="contact-table crowns-table">
        <caption class="small quiet">
          Millimetres and square millimetres; minus is overlap. Of each crown, first the one nearer the
          patient’s right: how deep it reaches into the other, and its area within 0.02 and 0.05 mm.
        </caption>
        <thead>
          <tr>
            <th scope="col">Contact</th>
            <th scope="col">State</th>
            <th scope="col" class="number">
              Space
            </th>
            <th scope="col" class="number">
              Depth
            </th>
            <th scope="col" class="number">
              0.02
            </th>
            <th scope="col" class="number">
              0.05
            </th>
            <th scope="col" class="number">
              Below
            </th>
            <th scope="col" class="number">
              Buccal
            </th>
          </tr>
        </thead>
        <tbody>
          <For each={props.contacts}>{(contact) => <ContactRow contact={contact} />}</For>
        </tbody>
      </table>
    </div>
  );
}

function ContactRow(props: { readonly contact: Contact }) {
  const { crowns, preferences } = useApp();
  const key = () => contactKey(props.contact);
  const both = (read: 'overlapMm' | 'within20umMm2' | 'within50umMm2') => {
    const { crownContact } = props.contact;
    return crownContact
      ? `${formatMmOr(crownContact.a[read])} | ${formatMmOr(crownContact.b[read])}`
      : NO_NUMBER;
  };
  const space = () => {
    const { gap } = props.contact;
    return gap ? `${formatSignedMm(gap.valueMm)} ± ${formatU95(gap.u95Mm)}` : NO_NUMBER;
  };
  const buccal = () => {
    const offset = props.contact.crownContact?.buccalMm ?? null;
    return offset === null ? NO_NUMBER : formatSignedMm(offset);
  };
  return (
    <tr data-contact={key()} data-status={props.contact.status} data-chosen={crowns.selected() === key()}>
      <th scope="row">
        <button
          type="button"
          class="pair-button"
          aria-pressed={crowns.selected() === key()}
          disabled={props.contact.pointA === null}
          onClick={() => crowns.select(key())}
        >
          {pairLabel(props.contact.toothA, props.contact.toothB, preferences.numbering())}
        </button>
      </th>
      <td>
        <StatusMark status={props.contact.status} />
      </td>
      <td class="number">{space()}</td>
      <td class="number">{both('overlapMm')}</td>
      <td class="number">{both('within20umMm2')}</td>
      <td class="number">{both('within50umMm2')}</td>
      <td class="number">{formatMmOr(props.contact.heightMm)}</td>
      <td class="number">{buccal()}</td>
    </tr>
  );
}
