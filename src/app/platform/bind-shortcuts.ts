import { onCleanup, onMount } from 'solid-js';
import { chooseContact } from '../features/contacts/choose-contact.ts';
import { printRecord, recordIsReady } from '../features/record/print-record.ts';
import type { AppState } from '../kernel/app-context.ts';
import { contactKey } from '../kernel/display-types.ts';
import { SECTIONS } from '../kernel/worksheet.ts';
import { copyText } from './copy-text.ts';
import { goToSection } from './go-to-section.ts';

/** The keys of the whole page; those of the table, the plot and the view live there. */
export function bindShortcuts(state: AppState): void {
  const listen = (event: KeyboardEvent) => {
    if (event.defaultPrevented || event.altKey || document.querySelector('dialog[open]')) return;
    const act = event.ctrlKey || event.metaKey ? withModifier(state, event) : plain(state, event);
    if (!act) return;
    event.preventDefault();
    act();
  };
  onMount(() => window.addEventListener('keydown', listen));
  onCleanup(() => window.removeEventListener('keydown', listen));
}

function withModifier({ controller, desk }: AppState, event: KeyboardEvent): (() => void) | null {
  // A case that is not in sight is not changed.
  if (desk.name() !== 'case') return null;
  const key = event.key.toLowerCase();
  // What is wanted on paper is the record, not the screen.
  if (key === 'p' && !event.shiftKey && recordIsReady(controller)) return () => void printRecord(controller);
  if (isTextEntry(event.target)) return null;
  if (key === 'y' || (key === 'z' && event.shiftKey)) return controller.redo;
  return key === 'z' ? controller.undo : null;
}

function plain(state: AppState, event: KeyboardEvent): (() => void) | null {
  const { clickHelp, controller, desk, worksheet, preferences } = state;
  if (event.key === 'Escape' && desk.name() === 'case') {
    if (clickHelp.proposals().length > 0) return clickHelp.dismiss;
    return () => {
      worksheet.setMode('look');
      controller.results.select(null);
    };
  }
  if (!preferences.singleKeys() || takesKeys(event.target)) return null;
  if (event.key === '?') return () => document.getElementById('shortcut-help')?.click();
  if (desk.name() !== 'case') return null;
  const digit = /^Digit(\d)$/.exec(event.code)?.[1];
  const section = SECTIONS[Number(digit) - 1];
  if (event.shiftKey && section) return () => goToSection(state, section);
  if (!controller.open()) return null;
  if (/^[0-4]$/.test(event.key)) return () => handToView(event.key);
  switch (event.key.toLowerCase()) {
    case 'n':
      return () => step(state, 1);
    case 'p':
      return () => step(state, -1);
    case 't':
      return controller.inputs().jaw ? () => worksheet.setMode('click-tooth') : null;
    case 'b':
      return controller.inputs().jaw ? () => worksheet.setMode('paint') : null;
    case 'a':
      return clickHelp.proposals().length > 0 ? clickHelp.acceptAll : null;
    case 'c':
      return controller.orderNote() ? () => void copyNote(state) : null;
    case 'g':
      return controller.inputs().jaw ? () => worksheet.setMode('click-gum') : null;
    default:
      return null;
  }
}

async function copyNote({ controller }: AppState): Promise<void> {
  const note = controller.orderNote();
  if (!note) return;
  const copied = await copyText(note.text);
  controller.tell(
    copied
      ? 'The note for the order is copied.'
      : 'The browser does not allow copying; select the note under Record instead.',
    copied ? 'told' : 'failed',
  );
}

/** The view has these keys when it is focused; from anywhere else they are handed on. */
function handToView(key: string): void {
  const view = document.querySelector('.scan-view-host');
  view?.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
}

/** Chooses the next or previous contact of the arch, from the patient's right to left. */
function step(state: AppState, by: number): void {
  const { controller } = state;
  const keys = controller.results.analysis()?.contacts.map(contactKey) ?? [];
  if (keys.length === 0) return;
  const selected = controller.results.selected();
  const at = selected === null ? -1 : keys.indexOf(selected);
  const to = at < 0 && by < 0 ? keys.length - 1 : (at + by + keys.length) % keys.length;
  chooseContact(state, keys[to] ?? null);
}

function isTextEntry(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLTextAreaElement ||
    (target instanceof HTMLInputElement &&
      target.type !== 'radio' &&
      target.type !== 'checkbox' &&
      target.type !== 'range')
  );
}

/** Elements that use letters or digits themselves. */
function takesKeys(target: EventTarget | null): boolean {
  return isTextEntry(target) || target instanceof HTMLSelectElement;
}
