import type { AppState } from '../kernel/app-context.ts';
import { SECTIONS, type SectionName } from '../kernel/worksheet.ts';

/** Unfolds a section, brings it to the top of the worksheet and gives it the focus. */
export function goToSection({ worksheet }: Pick<AppState, 'worksheet'>, section: SectionName): void {
  worksheet.setOpen(section, true);
  const toggle = document.querySelector<HTMLElement>(`[data-section="${SECTIONS.indexOf(section) + 1}"]`);
  toggle?.scrollIntoView({ block: 'start' });
  toggle?.focus({ preventScroll: true });
}
