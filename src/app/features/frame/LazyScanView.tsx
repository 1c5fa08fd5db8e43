import { createResource, Match, Show, Switch } from 'solid-js';
import type { ScanViewPaneProps } from '../../kernel/display-types.ts';
import { loadScanView } from '../../platform/load-scan-view.ts';

/** For a view that only shows: no clicks, no painting, no motions. */
export const chooseNothing = {
  clicks: [],
  motions: null,
  motionScale: 0,
  mode: 'look',
  onPick: () => {},
  onMoveClick: () => {},
  onRemoveClick: () => {},
  proposals: [],
  onAcceptProposal: () => {},
  onPlaceProposal: () => {},
  onPaint: () => {},
} as const;

/** The view of the scan, fetched when it is first needed: most of the page's bytes are its drawing. */
export function LazyScanView(props: ScanViewPaneProps) {
  const [loaded] = createResource(loadScanView);
  return (
    <Switch>
      <Match when={loaded.state === 'errored'}>
        <section class="stage-view-missing" aria-label="View of the scan">
          <p role="alert">
            The part of the page that draws the scan could not be fetched. Table, plot and plan work without
            it, and the case is saved on this device: check that the page is still being served, then reload
            it.
          </p>
          <button type="button" class="button" onClick={() => location.reload()}>
            Reload the page
          </button>
        </section>
      </Match>
      <Match when={true}>
        <Show when={loaded()}>
          {(view) => {
            const { ScanViewPane } = view();
            return <ScanViewPane {...props} />;
          }}
        </Show>
      </Match>
    </Switch>
  );
}
