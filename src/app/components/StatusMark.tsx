import type { ContactStatus } from '../../contacts/types.ts';
import { STATUS_WORDS } from '../../report/contact-words.ts';

/** The same shapes as in the contact plot: a status is never told by colour alone. */
const SHAPES: Readonly<Record<ContactStatus, string>> = {
  open: 'M2 7a5 5 0 1 0 10 0a5 5 0 1 0-10 0Z',
  undecided: 'M7 1 13 7 7 13 1 7Z',
  closed: 'M2.5 2.5h9v9h-9Z',
  bridged: 'M3.5 2v10M10.5 2v10M3.5 10l7-7M3.5 12l7-7M3.5 6.5 8 2',
  overlap: 'M1 2.5h12L7 12.5Z',
  'missing-tooth': 'M3 3l8 8M11 3l-8 8',
  'not-measurable': 'M3 3l8 8M11 3l-8 8',
};

/** A contact's status: mark and word. */
export function StatusMark(props: { readonly status: ContactStatus; readonly wordless?: boolean }) {
  return (
    <span class="status" data-status={props.status}>
      <svg class="status-mark" viewBox="0 0 14 14" aria-hidden="true">
        <path d={SHAPES[props.status]} />
      </svg>
      <span classList={{ 'visually-hidden': props.wordless ?? false }}>{STATUS_WORDS[props.status]}</span>
    </span>
  );
}
