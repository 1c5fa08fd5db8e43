import { For, Show } from 'solid-js';
import type { NumberingScheme } from '../../../teeth/types.ts';
import { useApp } from '../../kernel/app-context.ts';
import type { DeskName } from '../../kernel/create-desk.ts';
import type { ThemeChoice } from '../../kernel/preferences.ts';
import { ShortcutHelp } from './ShortcutHelp.tsx';

const SAVE_WORDS = {
  nothing: '',
  saving: 'saving …',
  saved: 'saved on this device',
  full: 'not saved: no room left on this device',
  failed: 'not saved on this device: save it as a file, under Scan',
  elsewhere: 'not saved: open in another tab, too',
} as const;

/** What can lie on the desk; see `Desk`. */
const DESKS: readonly (readonly [DeskName, string])[] = [
  ['case', 'Case'],
  ['crowns', 'Crowns'],
  ['agreement', 'Agreement'],
];

/** Name of the case, undo and redo, and the settings that hold everywhere. */
export function Header(props: { readonly version: string }) {
  const { controller, desk, persistence, preferences } = useApp();
  return (
    <header class="masthead">
      <h1 class="wordmark" title={`Archgap ${props.version}`}>
        <svg viewBox="0 0 32 32" aria-hidden="true">
          <path d="M5 27C5 13 7 8 11.5 6.6M27 27C27 13 25 8 20.5 6.6" />
        </svg>
        Archgap
      </h1>
      <nav class="desk-nav" aria-label="Desk">
        <For each={DESKS}>
          {([name, label]) => (
            <button
              type="button"
              class="desk-button"
              aria-current={desk.name() === name ? 'page' : undefined}
              onClick={() => desk.show(name)}
            >
              {label}
            </button>
          )}
        </For>
      </nav>
      <p class="case-line">
        <Show when={controller.open()}>
          {(open) => (
            <>
              <span class="case-name">
                {open().demo ? 'Demo case, an invented patient' : controller.followUp.names().at(-1)}
              </span>
              <Show when={!open().demo && controller.inputs().jaw}>
                {(jaw) => <span class="case-jaw">{jaw()} jaw</span>}
              </Show>
              <span class="save-state" data-state={persistence.state()} role="status">
                {SAVE_WORDS[persistence.state()]}
              </span>
            </>
          )}
        </Show>
      </p>
      <div class="masthead-tools">
        <button
          type="button"
          class="button quiet"
          disabled={desk.name() !== 'case' || !controller.canUndo()}
          title="Undo (Ctrl+Z)"
          onClick={() => controller.undo()}
        >
          Undo
        </button>
        <button
          type="button"
          class="button quiet"
          disabled={desk.name() !== 'case' || !controller.canRedo()}
          title="Redo (Ctrl+Shift+Z)"
          onClick={() => controller.redo()}
        >
          Redo
        </button>
        <label class="inline-select">
          <span>Numbers</span>
          <select
            value={preferences.numbering()}
            onChange={(event) => preferences.setNumbering(event.currentTarget.value as NumberingScheme)}
          >
            <option value="iso">ISO 3950</option>
            <option value="universal">Universal 1–32</option>
            <option value="palmer">Palmer</option>
          </select>
        </label>
        <label class="inline-select">
          <span>Theme</span>
          <select
            value={preferences.theme()}
            onChange={(event) => preferences.setTheme(event.currentTarget.value as ThemeChoice)}
          >
            <option value="system">As system</option>
            <option value="light">Light</option>
            <option value="dark">Dark</option>
          </select>
        </label>
        <ShortcutHelp />
      </div>
    </header>
  );
}
