import { createSignal, createUniqueId, Show } from 'solid-js';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { download } from '../../platform/browser.ts';

/** The whole case as one file, encrypted if wanted. */
export function SaveCasePart() {
  const { controller } = useApp();
  const id = createUniqueId();
  const [encrypt, setEncrypt] = createSignal(false);
  const [shown, setShown] = createSignal(false);
  const [passphrase, setPassphrase] = createSignal('');
  const busy = () => controller.caseFileJob.state().kind === 'running';
  const save = async (event: SubmitEvent) => {
    event.preventDefault();
    const file = await controller.writeCaseFile(encrypt() ? passphrase() : null);
    if (file) download(file);
  };
  return (
    <details class="save-case">
      <summary>Save this case as a file</summary>
      <form class="save-case-form" onSubmit={(event) => void save(event)}>
        <p class="small quiet">
          One ZIP with the scans, your clicks, findings, settings and note: to keep, to send on, or to open
          here and on the command line.
        </p>
        <label class="check">
          <input
            type="checkbox"
            checked={encrypt()}
            onChange={(event) => setEncrypt(event.currentTarget.checked)}
          />
          <span>Encrypt it with a passphrase</span>
        </label>
        <Show when={encrypt()}>
          <label class="passphrase-label" for={`${id}-passphrase`}>
            Passphrase, at least 8 characters
          </label>
          <span class="passphrase-row">
            <input
              id={`${id}-passphrase`}
              class="text-field"
              type={shown() ? 'text' : 'password'}
              autocomplete="new-password"
              minLength={8}
              required
              value={passphrase()}
              onInput={(event) => setPassphrase(event.currentTarget.value)}
              aria-describedby={`${id}-hint`}
            />
            <button
              type="button"
              class="button small quiet"
              aria-pressed={shown()}
              onClick={() => setShown(!shown())}
            >
              Show
            </button>
          </span>
          <p class="small quiet" id={`${id}-hint`}>
            Whoever loses the passphrase loses the file: there is no other way in.
          </p>
        </Show>
        <button type="submit" class="button" disabled={busy()}>
          Save the case file
        </button>
        <JobLine job={controller.caseFileJob} />
      </form>
    </details>
  );
}
