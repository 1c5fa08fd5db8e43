import { createEffect, createSignal, createUniqueId, on, Show } from 'solid-js';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** Asks for the passphrase of an encrypted case file. */
export function PassphraseBox() {
  const { controller, desk } = useApp();
  const id = createUniqueId();
  const [passphrase, setPassphrase] = createSignal('');
  const busy = () => controller.openJob.state().kind === 'running';
  let dialog!: HTMLDialogElement;
  createEffect(
    on(controller.sealed, (file) => {
      setPassphrase('');
      if (file) dialog.showModal();
      else if (dialog.open) dialog.close();
    }),
  );
  const leave = () => {
    if (controller.sealed()) void controller.unseal(null);
  };
  return (
    <dialog class="help-dialog" ref={dialog} aria-labelledby={`${id}-title`} onClose={leave}>
      <h2 id={`${id}-title`}>This case file is encrypted</h2>
      <form
        class="save-case-form"
        onSubmit={(event) => {
          event.preventDefault();
          desk.show('case');
          void controller.unseal(passphrase());
        }}
      >
        <p>{controller.sealed()?.name}</p>
        <label class="passphrase-label" for={`${id}-passphrase`}>
          Passphrase
        </label>
        <input
          id={`${id}-passphrase`}
          class="text-field"
          type="password"
          autocomplete="current-password"
          required
          value={passphrase()}
          onInput={(event) => setPassphrase(event.currentTarget.value)}
        />
        <Show when={controller.sealed()}>
          <JobLine job={controller.openJob} />
        </Show>
        <span class="button-row">
          <button type="submit" class="button primary" disabled={busy()}>
            Open it
          </button>
          <button type="button" class="button quiet" onClick={() => dialog.close()}>
            Leave it
          </button>
        </span>
      </form>
    </dialog>
  );
}
