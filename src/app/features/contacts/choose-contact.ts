import type { AppState } from '../../kernel/app-context.ts';
import type { ContactKey } from '../../kernel/display-types.ts';

/**
 * Chooses a contact from outside of the table and brings its details into sight on the worksheet.
 *
 * @param options - `stay`: chosen from a picture on the worksheet that must not scroll away
 */
export function chooseContact(
  { controller, worksheet }: AppState,
  key: ContactKey | null,
  options: { readonly stay?: boolean } = {},
): void {
  controller.results.select(key);
  if (key === null || options.stay) return;
  worksheet.setOpen('contacts', true);
  document.querySelector('.contact-detail')?.scrollIntoView({ block: 'start' });
}
