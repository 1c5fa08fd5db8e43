import { Show } from 'solid-js';
import { FilePicker } from '../../components/FilePicker.tsx';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** Where the next scan of the patient comes in. */
export function NextScanPart() {
  const { controller, lookFor } = useApp();
  const { followUp } = controller;
  const busy = () => controller.openJob.state().kind === 'running';
  const add = (files: FileList) => lookFor(files, ([file]) => file && void followUp.addNext(file));
  return (
    <div class="next-scan">
      <h3 class="sub-heading">Next scan</h3>
      <p class="small">
        The same arch, scanned again after stages were worn: it is laid over this scan by the shape of the
        teeth, from any pose; clicks and tooth numbers come along, and every contact is compared.
      </p>
      <Show
        when={followUp.canAdd()}
        fallback={<p class="quiet small">Needs the contacts of this scan first.</p>}
      >
        <div class="button-row">
          <FilePicker class="button" oneScan disabled={busy()} onFiles={add}>
            Choose the next scan …
          </FilePicker>
          <span class="quiet small">or drop it on the page</span>
        </div>
      </Show>
      <Show when={busy()}>
        <JobLine job={controller.openJob} cancellable />
      </Show>
      <Show when={followUp.refused()}>
        {(refused) => (
          <div class="refusal" role="alert">
            <p>{refused().error.message}</p>
            <p class="button-row">
              <Show when={refused().error.code === 'SCANS_DO_NOT_MATCH'}>
                <button
                  type="button"
                  class="button small"
                  onClick={() => void followUp.addNext(refused().file, 'by-hand')}
                >
                  It is this patient: click its teeth by hand
                </button>
              </Show>
              <button type="button" class="button small quiet" onClick={() => followUp.dismissRefusal()}>
                Leave it
              </button>
            </p>
          </div>
        )}
      </Show>
    </div>
  );
}
