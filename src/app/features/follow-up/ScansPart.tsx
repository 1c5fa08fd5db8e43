import { For, Show } from 'solid-js';
import { groupName } from '../../components/group-name.ts';
import { useApp } from '../../kernel/app-context.ts';

/** The scans of this arch, oldest first: their days, which one is compared with, and the way back. */
export function ScansPart() {
  const { controller } = useApp();
  const { followUp } = controller;
  const name = groupName();
  const busy = () => controller.openJob.state().kind === 'running';
  return (
    <Show when={controller.earlier().length > 0}>
      <h3 class="sub-heading">Scans of this arch</h3>
      <ul class="scan-rounds">
        <For each={controller.earlier()}>
          {(scan, place) => (
            <li>
              <label class="check">
                <input
                  type="radio"
                  name={name}
                  checked={followUp.against() === place()}
                  onChange={() => followUp.setAgainst(place())}
                />
                <span class="arch-name">{followUp.names()[place()]}</span>
              </label>
              <span class="quiet small">{dayBeside(followUp.names()[place()], scan.inputs.scannedOn)}</span>
            </li>
          )}
        </For>
        <li>
          <span class="arch-name">{followUp.names().at(-1)}</span>
          <label class="small">
            <span class="quiet">scanned on </span>
            <input
              type="date"
              value={controller.inputs().scannedOn ?? ''}
              onChange={(event) => {
                const day = event.currentTarget.value;
                controller.change(
                  (inputs) => ({ ...inputs, scannedOn: day === '' ? null : day }),
                  'scanned-on',
                );
              }}
            />
          </label>
        </li>
      </ul>
      <p class="quiet small">The marked scan is the one compared with.</p>
      <div class="button-row">
        <button
          type="button"
          class="button small quiet"
          disabled={busy()}
          onClick={() => void controller.dropNewest()}
        >
          Take the newest scan out
        </button>
        <span class="quiet small">Undo brings it back</span>
      </div>
    </Show>
  );
}

/** The day of a scan where its name does not say it. */
function dayBeside(name: string | undefined, day: string | null | undefined): string {
  if (!day) return 'day not said';
  return name?.endsWith(day) ? '' : day;
}
