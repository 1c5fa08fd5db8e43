import type { AppState } from '../../kernel/app-context.ts';
import type { ContactKey } from '../../kernel/display-types.ts';

/** Chooses a contact from outside of the table and brings its details into sight on the worksheet. */
export function chooseContact({ controller, worksheet }: AppState, key: ContactKey | null): void {
  controller.results.select(key);
  if (key === null) return;
  worksheet.setOpen('contacts', true);
  document.querySelector('.contact-detail')?.scrollIntoView({ block: 'start' });
}
