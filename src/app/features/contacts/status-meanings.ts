import type { Contact, ContactStatus } from '../../../contacts/types.ts';
import { isNotClicked, STATUS_WORDS, statusWords } from '../../../report/contact-words.ts';
import { NOT_CLICKED_MEANING, STATUS_MEANINGS } from '../../kernel/words.ts';

/** The words for statuses that the table of this arch holds, each with its meaning: no tooth is called missing that was only not clicked. */
export function statusMeanings(contacts: readonly Contact[]): (readonly [string, string])[] {
  const order = Object.keys(STATUS_WORDS) as ContactStatus[];
  return order.flatMap((status) => {
    const found = contacts.filter((contact) => contact.status === status);
    const unclicked = found.find(isNotClicked);
    return [
      ...(found.some((contact) => !isNotClicked(contact))
        ? [[STATUS_WORDS[status], STATUS_MEANINGS[status]] as const]
        : []),
      ...(unclicked === undefined ? [] : [[statusWords(unclicked), NOT_CLICKED_MEANING] as const]),
    ];
  });
}
