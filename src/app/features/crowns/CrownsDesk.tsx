import { Show } from 'solid-js';
import { FaultBoundary } from '../../components/FaultBoundary.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { chooseNothing, LazyScanView } from '../frame/LazyScanView.tsx';
import { CrownDetail } from './CrownDetail.tsx';
import { CrownsSheet } from './CrownsSheet.tsx';
import './crowns.css';

/** Separate crowns in one frame: files and table on the left, the crowns and the chosen contact on the right. */
export function CrownsDesk() {
  const { crowns, preferences } = useApp();
  return (
    <>
      <div class="worksheet" id="worksheet" tabindex="-1">
        <CrownsSheet />
      </div>
      <section class="lab-results" aria-label="Crowns and the chosen contact" tabindex="0">
        <Show
          when={crowns.measured()}
          fallback={
            <p class="lab-empty">
              Here stand the crowns and, for the contact that is chosen, the cut through it and where each
              crown meets the other.
            </p>
          }
        >
          {(measured) => (
            <FaultBoundary part="The view">
              <div class="lab-view">
                <LazyScanView
                  {...chooseNothing}
                  scan={measured().display}
                  labels={measured().labels}
                  teeth={measured().analysis.teeth}
                  contacts={measured().analysis.contacts}
                  selected={crowns.selected()}
                  frame={measured().analysis.frame}
                  numbering={preferences.numbering()}
                  onSelectContact={crowns.select}
                />
              </div>
              <CrownDetail />
            </FaultBoundary>
          )}
        </Show>
      </section>
    </>
  );
}
