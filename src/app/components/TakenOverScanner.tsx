import { Show } from 'solid-js';
import { useApp } from '../kernel/app-context.ts';
import { withScanner } from '../kernel/case-inputs.ts';

/** The terms of the scanner came from the earlier scan: where it is said that the new one was made with it, too. */
export function TakenOverScanner() {
  const { controller } = useApp();
  return (
    <Show when={controller.scannerTakenOver()}>
      <div class="button-row">
        <button
          type="button"
          class="button small"
          onClick={() => controller.change((inputs) => withScanner(inputs, controller.scanner()), 'scanner')}
        >
          This scan was made with “{controller.scanner()?.name}”, too
        </button>
      </div>
    </Show>
  );
}
