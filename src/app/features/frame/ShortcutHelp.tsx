import { For } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';
import { PAGE_SHORTCUTS } from '../../kernel/shortcuts.ts';

/** The list of keys, behind `?`. */
export function ShortcutHelp() {
  const { preferences } = useApp();
  let dialog!: HTMLDialogElement;
  return (
    <>
      <button
        type="button"
        class="button quiet help-button"
        id="shortcut-help"
        aria-label="Keys and help"
        title="Keys (?)"
        onClick={() => dialog.showModal()}
      >
        ?
      </button>
      <dialog class="help-dialog" ref={dialog} aria-labelledby="help-title">
        <h2 id="help-title">Keys</h2>
        <table class="key-table">
          <tbody>
            <For each={PAGE_SHORTCUTS}>
              {(shortcut) => (
                <tr>
                  <th scope="row">
                    <For each={shortcut.keys}>{(key) => <kbd>{key}</kbd>}</For>
                  </th>
                  <td>{shortcut.does}</td>
                </tr>
              )}
            </For>
          </tbody>
        </table>
        <label class="check">
          <input
            type="checkbox"
            checked={preferences.singleKeys()}
            onChange={(event) => preferences.setSingleKeys(event.currentTarget.checked)}
          />
          <span>Single letters and digits act as keys (switch off when you dictate to the computer)</span>
        </label>
        <form method="dialog">
          <button type="submit" class="button">
            Close
          </button>
        </form>
      </dialog>
    </>
  );
}
