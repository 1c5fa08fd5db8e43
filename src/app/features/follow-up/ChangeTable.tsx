import { For, Show } from 'solid-js';
import type { ContactChange } from '../../../contacts/compare-contacts.ts';
import type { Contact } from '../../../contacts/types.ts';
import {
  CHANGE_NOTE_WORDS,
  carriedWords,
  changeWords,
  formatDifference,
  standingWords,
} from '../../../report/change-words.ts';
import { pairLabel, statusWords } from '../../../report/contact-words.ts';
import { formatGap, formatMm, formatSignedMm, NO_NUMBER } from '../../../report/format-mm.ts';
import { TableHead } from '../../components/TableHead.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';

/** The head of the table says that it is in millimetres. */
const plain = (text: string) => text.replace(' mm', '');

const COLUMNS = [
  { title: 'Contact' },
  { title: 'Before', number: true },
  { title: 'Now', number: true },
  { title: 'Change, mm', number: true },
];

/** Every contact of both scans, from the patient's right to left. */
export function ChangeTable(props: { readonly changes: readonly ContactChange[] }) {
  const { controller, preferences } = useApp();
  const { selected, select } = controller.results;
  return (
    <div class="table-frame">
      <table class="change-table">
        <caption class="visually-hidden">
          Every contact before and now, in millimetres; minus means nearer.
        </caption>
        <TableHead columns={COLUMNS} />
        <For each={props.changes}>
          {(change) => (
            <tbody
              data-change={contactKey(change)}
              data-kind={change.kind}
              data-chosen={selected() === contactKey(change)}
            >
              <tr>
                <th scope="rowgroup" rowspan={hasWords(change) ? 2 : 1}>
                  <button
                    type="button"
                    class="pair-button"
                    aria-pressed={selected() === contactKey(change)}
                    disabled={change.after === null}
                    onClick={() => select(contactKey(change))}
                  >
                    {pairLabel(change.toothA, change.toothB, preferences.numbering())}
                  </button>
                </th>
                <td class="number">{stateText(change.before)}</td>
                <td class="number">{stateText(change.after)}</td>
                <td class="number">{changeText(change)}</td>
              </tr>
              <Show when={hasWords(change)}>
                <tr class="became">
                  <td colspan="3">
                    <b>{changeWords(change)}</b>
                    <span class="quiet">{reasons(change).join('; ')}</span>
                  </td>
                </tr>
              </Show>
            </tbody>
          )}
        </For>
      </table>
    </div>
  );
}

function stateText(contact: Contact | null): string {
  if (contact === null) return 'no such pair';
  const { gap, upperBoundMm } = contact;
  if (gap) return plain(formatGap(gap));
  return upperBoundMm === null ? statusWords(contact) : `≤ ${formatMm(upperBoundMm)}`;
}

function changeText({ change, rangeMm }: ContactChange): string {
  if (change) return plain(formatDifference(change));
  if (rangeMm === null) return NO_NUMBER;
  return `${formatSignedMm(rangeMm[0])} to ${formatSignedMm(rangeMm[1])}`;
}

/** Where no change was seen and there is nothing else to say, nothing is said. */
function hasWords(change: ContactChange): boolean {
  return change.kind !== 'unchanged' || reasons(change).length > 0;
}

/** What stands behind the word for a contact, quieter. */
function reasons(change: ContactChange): string[] {
  return [...planWords(change), ...remarks(change), ...crownWords(change)];
}

function planWords({ plan, before }: ContactChange): string[] {
  const standing = standingWords({ plan });
  if (!plan || before?.status !== 'open') return standing ? [standing] : [];
  const expected = `${formatMm(plan.afterMm)}\u00a0mm`;
  const planned = standing ? `${standing} (${expected})` : `planned ${expected}`;
  const seen = plan.expressed
    ? `, ${(100 * plan.expressed.share).toFixed(0)}\u00a0±\u00a0${(100 * plan.expressed.u95).toFixed(0)}\u00a0% of the closure seen`
    : '';
  return [`${planned}${seen}`];
}

function crownWords({ approach }: ContactChange): string[] {
  return approach ? [`crowns ${formatDifference(approach).replaceAll(' ', '\u00a0')}`] : [];
}

function remarks({ carried, notes }: ContactChange): string[] {
  return [...(carried ? [carriedWords(carried)] : []), ...notes.map((note) => CHANGE_NOTE_WORDS[note])];
}
