import type { JSX } from 'solid-js';
import type { Contact } from '../../contacts/types.ts';
import { statusWords } from '../../report/contact-words.ts';
import { statusSymbol } from '../../report/status-glyph.ts';

/**
 * A contact's status as mark and word; the mark is that of the plot and the report. What stands within follows the last
 * word without a break.
 */
export function StatusMark(props: {
  readonly contact: Pick<Contact, 'status' | 'notes'>;
  readonly children?: JSX.Element;
}) {
  const symbol = () => statusSymbol(props.contact.status, 7, 7);
  return (
    <span class="status" data-status={props.contact.status}>
      <svg class="status-mark" viewBox="0 0 14 14" aria-hidden="true" data-filled={symbol().filled}>
        <path d={symbol().path} />
      </svg>
      <span>
        {statusWords(props.contact)}
        {props.children}
      </span>
    </span>
  );
}
