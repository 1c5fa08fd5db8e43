import { createSignal, Match, Show, Switch } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';
import type { Offline } from '../../platform/offline.ts';

/** Says that a newer version of the page is there; it comes in when the user says so. */
export function UpdateBox(props: { readonly offline: Offline }) {
  const { persistence } = useApp();
  const [later, setLater] = createSignal(false);
  return (
    <Show when={props.offline.update() !== 'none' && !later()}>
      <div class="notice" role="status">
        <Switch>
          <Match when={props.offline.update() === 'ready'}>
            <span>
              A newer version of this page is ready.{' '}
              {persistence.isAtRisk()
                ? 'The case is not saved on this device: save it as a file (under Scan) first. '
                : 'The case is saved, and open again afterwards. '}
              Numbers may change with a version: the changelog says which.
            </span>
            <span class="notice-actions">
              <button type="button" class="button small" onClick={() => props.offline.letIn()}>
                Use it now
              </button>
              <button type="button" class="button small quiet" onClick={() => setLater(true)}>
                Later
              </button>
            </span>
          </Match>
          <Match when={props.offline.update() === 'coming'}>
            <span>The newer version is coming in; this page is then loaded anew by itself.</span>
          </Match>
        </Switch>
      </div>
    </Show>
  );
}
