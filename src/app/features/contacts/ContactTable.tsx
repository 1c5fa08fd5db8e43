import { createEffect, For, on, Show } from 'solid-js';
import type { Analysis, Contact } from '../../../contacts/types.ts';
import { noteWords, pairLabel } from '../../../report/contact-words.ts';
import { formatMm, formatMmOr, formatU95, NO_NUMBER } from '../../../report/format-mm.ts';
import { StatusMark } from '../../components/StatusMark.tsx';
import { TableHead } from '../../components/TableHead.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { flossAt } from '../../kernel/case-inputs.ts';
import { type ContactKey, contactKey } from '../../kernel/display-types.ts';

const COLUMNS = [
  { title: 'Contact' },
  { title: 'Status' },
  { title: 'Space, mm', number: true, hint: 'Best estimate and expanded uncertainty, k = 2' },
  { title: 'At most', number: true, hint: 'The largest space that could hide there' },
  {
    title: 'Clearance',
    number: true,
    hint: 'How far the teeth can close along the arch before they touch',
  },
];

/** One row per contact, from the patient's right to left. Arrow keys choose; one row is in the tab order. */
export function ContactTable(props: { readonly analysis: Analysis }) {
  const { controller } = useApp();
  const { selected, select } = controller.results;
  let body!: HTMLTableSectionElement;
  const keys = () => props.analysis.contacts.map(contactKey);
  const rowOf = (key: ContactKey | null) => body.querySelector<HTMLElement>(`[data-key="${key}"]`);

  createEffect(
    on(
      selected,
      (key) => {
        if (isInSight(body)) rowOf(key)?.scrollIntoView({ block: 'nearest' });
      },
      { defer: true },
    ),
  );
  const move = (event: KeyboardEvent, key: ContactKey) => {
    const at = keys().indexOf(key);
    const target = TARGETS[event.key]?.(at, keys().length - 1);
    if (target === undefined) return;
    event.preventDefault();
    const next = keys()[Math.min(Math.max(target, 0), keys().length - 1)];
    if (!next) return;
    select(next);
    rowOf(next)?.focus();
  };
  const inTabOrder = (key: ContactKey) => key === (selected() ?? keys()[0]);

  return (
    <div class="table-frame contact-frame">
      <table class="contact-table">
        <caption class="visually-hidden">
          Contacts from the patient’s right to left. Up and down choose a contact.
        </caption>
        <TableHead columns={COLUMNS} />
        <tbody ref={body}>
          <For each={props.analysis.contacts}>
            {(contact) => (
              <ContactRow
                contact={contact}
                selected={selected() === contactKey(contact)}
                inTabOrder={inTabOrder(contactKey(contact))}
                onSelect={() => select(contactKey(contact))}
                onKey={(event) => move(event, contactKey(contact))}
              />
            )}
          </For>
        </tbody>
      </table>
    </div>
  );
}

/** Whoever works further down the worksheet is not taken back to the table. */
function isInSight(element: Element): boolean {
  const { top, bottom } = element.getBoundingClientRect();
  return bottom > 0 && top < window.innerHeight;
}

/** Where a key goes from row `at` of rows 0 to `last`. */
const TARGETS: Readonly<Record<string, (at: number, last: number) => number>> = {
  ArrowDown: (at) => at + 1,
  ArrowUp: (at) => at - 1,
  Home: () => 0,
  End: (_, last) => last,
  Enter: (at) => at,
  ' ': (at) => at,
};

const FLOSS_WORDS = { open: 'free', closed: 'holds' } as const;

interface ContactRowProps {
  readonly contact: Contact;
  readonly selected: boolean;
  readonly inTabOrder: boolean;
  readonly onSelect: () => void;
  readonly onKey: (event: KeyboardEvent) => void;
}

function ContactRow(props: ContactRowProps) {
  const { controller, preferences } = useApp();
  const floss = () => flossAt(controller.inputs(), props.contact);
  const notes = () => props.contact.notes.map(noteWords).join('; ');
  return (
    <tr
      data-key={contactKey(props.contact)}
      data-status={props.contact.status}
      aria-selected={props.selected}
      tabindex={props.inTabOrder ? 0 : -1}
      onClick={props.onSelect}
      onKeyDown={props.onKey}
    >
      <th scope="row">{pairLabel(props.contact.toothA, props.contact.toothB, preferences.numbering())}</th>
      <td>
        <StatusMark contact={props.contact}>
          <Show when={notes()}>
            <span class="row-note" title={notes()}>
              <span aria-hidden="true">*</span>
              <span class="visually-hidden">, {notes()}</span>
            </span>
          </Show>
        </StatusMark>
        <Show when={floss()}>
          {(found) => (
            <span class="row-floss">
              floss: {FLOSS_WORDS[found().finding]}
              <Show when={found().foundOn}>
                {(day) => (
                  <>
                    , <time datetime={day()}>{day()}</time>
                  </>
                )}
              </Show>
            </span>
          )}
        </Show>
      </td>
      <td class="number">
        <Show when={props.contact.gap} fallback={NO_NUMBER}>
          {(gap) => (
            <>
              <b>{formatMm(gap().valueMm)}</b> ± {formatU95(gap().u95Mm)}
            </>
          )}
        </Show>
      </td>
      <td class="number">{formatMmOr(props.contact.upperBoundMm)}</td>
      <td class="number">{formatMmOr(props.contact.clearanceMm)}</td>
    </tr>
  );
}
