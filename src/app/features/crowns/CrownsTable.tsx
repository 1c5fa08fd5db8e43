import { For, Show } from 'solid-js';
import type { Contact } from '../../../contacts/types.ts';
import { pairLabel } from '../../../report/contact-words.ts';
import { formatMm, formatMmOr, formatSignedMm, formatU95, NO_NUMBER } from '../../../report/format-mm.ts';
import { StatusMark } from '../../components/StatusMark.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';

/** Every contact from the patient's right to left, both crowns of each. */
export function CrownsTable(props: { readonly contacts: readonly Contact[] }) {
  return (
    <div class="table-frame">
      <table class="contact-table crowns-table">
        <caption class="small quiet">
          Minus is overlap. Of both crowns, first the one nearer the patient’s right: how deep it reaches into
          the other, and its area within 0.02 and 0.05 mm.
        </caption>
        <thead>
          <tr>
            <th scope="col">Contact</th>
            <th scope="col">State</th>
            <th scope="col" class="number">
              Space, mm
            </th>
          </tr>
        </thead>
        <For each={props.contacts}>{(contact) => <ContactRows contact={contact} />}</For>
      </table>
    </div>
  );
}

function ContactRows(props: { readonly contact: Contact }) {
  const { crowns, preferences } = useApp();
  const key = () => contactKey(props.contact);
  const space = () => {
    const { gap } = props.contact;
    return gap ? `${formatSignedMm(gap.valueMm)} ± ${formatU95(gap.u95Mm)}` : NO_NUMBER;
  };
  return (
    <tbody data-contact={key()} data-status={props.contact.status} data-chosen={crowns.selected() === key()}>
      <tr>
        <th scope="rowgroup" rowspan={props.contact.crownContact ? 2 : 1}>
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
          <StatusMark contact={props.contact} />
        </td>
        <td class="number">{space()}</td>
      </tr>
      <Show when={props.contact.crownContact}>
        <tr class="crown-both">
          <td colspan="2">{bothWords(props.contact)}</td>
        </tr>
      </Show>
    </tbody>
  );
}

/** Areas are given within this distance and a smaller one. */
const WIDEST_AREA_MM = 0.05;

/** Both crowns, and where the place lies. */
function bothWords({ crownContact, heightMm, nearestMm }: Contact): string {
  if (crownContact === undefined) return '';
  const { a, b, buccalMm } = crownContact;
  const both = (read: 'overlapMm' | 'within20umMm2' | 'within50umMm2') =>
    `${formatMmOr(a[read])} | ${formatMmOr(b[read])}`;
  // Six noughts in every row of an open contact hide the rows that say something. Areas go by the corners of triangles:
  // of a coarse mesh they are nothing, too, where edges come nearer.
  const isApart =
    nearestMm !== null &&
    nearestMm > WIDEST_AREA_MM &&
    [a, b].every(({ overlapMm, within50umMm2 }) => overlapMm === 0 && within50umMm2 === 0);
  const met = isApart
    ? ['nothing within 0.05 mm of the other']
    : [
        `depth ${both('overlapMm')} mm`,
        `area within 0.02 mm ${both('within20umMm2')} mm²`,
        `within 0.05 mm ${both('within50umMm2')} mm²`,
      ];
  const place = [
    ...(heightMm === null ? [] : [`${formatMm(heightMm)} mm below the occlusal plane`]),
    ...(buccalMm === null
      ? []
      : [`${formatMm(Math.abs(buccalMm))} mm towards ${buccalMm < 0 ? 'tongue or palate' : 'cheek or lip'}`]),
  ];
  return [...met, ...place].join('; ');
}
