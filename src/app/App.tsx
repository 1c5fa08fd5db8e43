import { createEffect, Match, onCleanup, onMount, Show, Switch } from 'solid-js';
import { DropCatcher } from './components/DropCatcher.tsx';
import { FaultBoundary } from './components/FaultBoundary.tsx';
import { InTurn } from './components/InTurn.tsx';
import { createAppState } from './create-app-state.ts';
import { AgreementDesk } from './features/agreement/AgreementDesk.tsx';
import { ElsewhereBox } from './features/cases/ElsewhereBox.tsx';
import { PassphraseBox } from './features/cases/PassphraseBox.tsx';
import { CrownsDesk } from './features/crowns/CrownsDesk.tsx';
import { Header } from './features/frame/Header.tsx';
import { Notice } from './features/frame/Notice.tsx';
import { Stage } from './features/frame/Stage.tsx';
import { UpdateBox } from './features/frame/UpdateBox.tsx';
import { Welcome } from './features/frame/Welcome.tsx';
import { WorksheetPane } from './features/frame/WorksheetPane.tsx';
import { AppContext } from './kernel/app-context.ts';
import { pageTitle } from './kernel/page-title.ts';
import { atFirstSign } from './platform/at-first-sign.ts';
import { bindShortcuts } from './platform/bind-shortcuts.ts';
import { followTheme } from './platform/follow-theme.ts';
import { goToSection } from './platform/go-to-section.ts';
import { preloaded, preloadScanView } from './platform/load-scan-view.ts';
import { keepOffline } from './platform/offline.ts';
import { tellFaults } from './platform/tell-faults.ts';

/** What a drop does on each desk. */
const DROP_WORDS = {
  case: 'Let go to open: a scan (STL or PLY), the upper and the lower one together, a case file (ZIP), or a click file (JSON) for the scan that is open.',
  crowns: 'Let go to add crowns: one STL or PLY file per tooth, all in one frame.',
  agreement: 'Let go to add tables (CSV) of repeated measurements.',
} as const;

export function App(props: { readonly version: string }) {
  const state = createAppState(props.version);
  tellFaults((sentence) => state.controller.tell(sentence, 'failed'));
  followTheme(state.preferences.theme);
  bindShortcuts(state);
  createEffect(() => {
    const open = state.controller.open();
    const { followUp, inputs } = state.controller;
    const name = open && (open.demo ? 'Demo case' : (followUp.names().at(-1) ?? open.fileName));
    document.title = pageTitle(name, inputs().jaw);
  });
  // Of a scan that comes without a sign before it.
  createEffect(() => state.controller.openJob.state().kind === 'running' && preloadScanView());
  // What the page asks the version at work for while that is to give way keeps it at work: for half a minute and more, as
  // seen in Chromium 156 where the pointer, on its way to the button, was the sign to fetch the view.
  const offline = keepOffline(() => Promise.all([state.persistence.flush(), preloaded()]));
  const takeNext = (files: FileList) =>
    state.lookFor(files, ([file]) => {
      if (!file) return;
      goToSection(state, 'follow-up');
      void state.controller.followUp.addNext(file);
    });
  const flush = () => void state.persistence.flush();
  /** The browser asks whether to leave while the device does not have the case. */
  const ask = (event: BeforeUnloadEvent) => state.persistence.isAtRisk() && event.preventDefault();
  onMount(async () => {
    window.addEventListener('pagehide', flush);
    window.addEventListener('beforeunload', ask);
    // Not for a page that is only looked up.
    atFirstSign(preloadScanView);
    if (new URLSearchParams(location.search).has('demo')) await state.controller.openDemo();
    else await state.persistence.restoreLast();
  });
  onCleanup(() => {
    window.removeEventListener('pagehide', flush);
    window.removeEventListener('beforeunload', ask);
  });

  return (
    <AppContext.Provider value={state}>
      <a class="skip-link" href="#worksheet">
        Skip to the worksheet
      </a>
      <Header version={props.version} />
      <div class="notices">
        <Notice />
        <ElsewhereBox />
        <UpdateBox offline={offline} />
      </div>
      <PassphraseBox />
      <main class="desk">
        <Switch>
          <Match when={state.desk.name() === 'crowns'}>
            <FaultBoundary part="The desk for crowns">
              <CrownsDesk />
            </FaultBoundary>
          </Match>
          <Match when={state.desk.name() === 'agreement'}>
            <FaultBoundary part="The desk for repeated measurements">
              <AgreementDesk />
            </FaultBoundary>
          </Match>
          <Match when={true}>
            <InTurn>
              <WorksheetPane />
            </InTurn>
            <Show
              when={state.controller.open()}
              fallback={
                <InTurn>
                  <Welcome />
                </InTurn>
              }
            >
              <FaultBoundary part="The view">
                <InTurn>
                  <Stage />
                </InTurn>
              </FaultBoundary>
            </Show>
          </Match>
        </Switch>
      </main>
      <DropCatcher
        onFiles={state.takeFiles}
        what={DROP_WORDS[state.desk.name()]}
        onNext={state.desk.name() === 'case' && state.controller.followUp.canAdd() ? takeNext : null}
      />
    </AppContext.Provider>
  );
}
