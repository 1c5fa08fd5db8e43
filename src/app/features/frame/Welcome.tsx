import { onCleanup, Show } from 'solid-js';
import { nextTurn } from '../../../geometry/next-turn.ts';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** What stands beside the worksheet before a scan is open. */
export function Welcome() {
  const { controller, desk, takeFiles } = useApp();
  const busy = () => controller.openJob.state().kind === 'running';
  // Whoever opened the case by keyboard goes on in the worksheet, not at the top of the page.
  onCleanup(async () => {
    // Taking the focus lays out the page: not in the task that drew what is new.
    await nextTurn();
    const { activeElement } = document;
    if (activeElement === null || activeElement === document.body) {
      document.getElementById('worksheet')?.focus({ preventScroll: true });
    }
  });
  return (
    <section class="welcome" aria-labelledby="welcome-title">
      <div class="welcome-text">
        <svg class="welcome-picture" viewBox="0 0 260 92" aria-hidden="true">
          <path class="crown" d="M14 78C8 30 26 12 56 12s50 20 45 66" />
          <path class="crown" d="M159 78c-5-46 15-66 45-66s48 18 42 66" />
          <path class="measure" d="M103 46h54M103 40v12M157 40v12" />
          <path class="ground-line" d="M4 78h252" />
        </svg>
        <h2 id="welcome-title">Is there a space left, and what would close it?</h2>
        <p>
          Archgap reads an intraoral scan, measures the space at every contact of the arch, says what the scan
          cannot show, and works out whether tightening stages would close what is open.
        </p>
        <ol class="welcome-steps">
          <li>Open a scan: drop an STL or PLY file anywhere on this page.</li>
          <li>Click each tooth once, from one end of the arch to the other.</li>
          <li>Read the contacts, the proposal and its reasons; take the record with you.</li>
        </ol>
        <div class="button-row">
          <button
            type="button"
            class="button primary"
            disabled={busy()}
            onClick={() => controller.openDemo()}
          >
            Open the demo case
          </button>
          <FilePicker onFiles={takeFiles}>Choose a scan …</FilePicker>
        </div>
        {/* The question for the passphrase says itself what it is about. */}
        <Show when={controller.sealed() === null}>
          <JobLine job={controller.openJob} cancellable />
        </Show>
        <ul class="further-jobs" aria-label="Further jobs">
          <li>
            <button type="button" class="button small" onClick={() => desk.show('crowns')}>
              Crowns
            </button>
            <span class="small">
              separate crown files against each other: space, overlap, area of contact
            </span>
          </li>
          <li>
            <button type="button" class="button small" onClick={() => desk.show('agreement')}>
              Agreement
            </button>
            <span class="small">tables of repeated measurements: how well they agree</span>
          </li>
          <li>
            <span class="small quiet">
              A restoration against its neighbours, and the next scan of a patient: open the scan first, then
              the sections Restoration and Follow-up.
            </span>
          </li>
        </ul>
        <p class="small quiet">
          The demo is an invented patient of an invented practice. Scans stay on this device: nothing is sent
          anywhere.
        </p>
      </div>
    </section>
  );
}
