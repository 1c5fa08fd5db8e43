import { For, Show } from 'solid-js';
import type { ScanHealth } from '../../../scan/types.ts';

/** What the checks of the mesh found, as sentences; warnings first. */
export function HealthFindings(props: { readonly health: ScanHealth }) {
  const findings = () =>
    props.health.findings.toSorted(
      (a, b) => Number(b.severity === 'warning') - Number(a.severity === 'warning'),
    );
  return (
    <Show
      when={findings().length > 0}
      fallback={<p class="quiet small">The checks of the mesh found nothing.</p>}
    >
      <h3 class="sub-heading">What the checks found</h3>
      <ul class="findings">
        <For each={findings()}>
          {(finding) => (
            <li data-severity={finding.severity}>
              <span class="finding-mark">{finding.severity === 'warning' ? 'Check' : 'Note'}</span>
              <span>{finding.sentence}</span>
            </li>
          )}
        </For>
      </ul>
    </Show>
  );
}
