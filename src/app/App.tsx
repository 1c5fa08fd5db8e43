import { createEffect, onCleanup, onMount, Show } from 'solid-js';
import { DropCatcher } from './components/DropCatcher.tsx';
import { FaultBoundary } from './components/FaultBoundary.tsx';
import { createAppState } from './create-app-state.ts';
import { ElsewhereBox } from './features/cases/ElsewhereBox.tsx';
import { PassphraseBox } from './features/cases/PassphraseBox.tsx';
import { Header } from './features/frame/Header.tsx';
import { Notice } from './features/frame/Notice.tsx';
import { Stage } from './features/frame/Stage.tsx';
import { UpdateBox } from './features/frame/UpdateBox.tsx';
import { Welcome } from './features/frame/Welcome.tsx';
import { WorksheetPane } from './features/frame/WorksheetPane.tsx';
import { AppContext } from './kernel/app-context.ts';
import { bindShortcuts } from './platform/bind-shortcuts.ts';
import { readFiles } from './platform/browser.ts';
import { followTheme } from './platform/follow-theme.ts';
import { preloadScanView } from './platform/load-scan-view.ts';
import { keepOffline } from './platform/offline.ts';
import { tellFaults } from './platform/tell-faults.ts';

export function App(props: { readonly version: string }) {
  const state = createAppState(props.version);
  tellFaults(state.controller.setNotice);
  followTheme(state.preferences.theme);
  bindShortcuts(state);
  createEffect(() => {
    const open = state.controller.open();
    document.title = open ? `${open.demo ? 'Demo case' : open.fileName} · Archgap` : 'Archgap';
  });
  const offline = keepOffline(() => state.persistence.flush());
  const takeNext = async (files: FileList) => {
    const [file] = await readFiles(files);
    if (!file) return;
    state.worksheet.setOpen('follow-up', true);
    await state.controller.followUp.addNext(file);
  };
  const flush = () => void state.persistence.flush();
  /** The browser asks whether to leave while the device does not have the case. */
  const ask = (event: BeforeUnloadEvent) => state.persistence.isAtRisk() && event.preventDefault();
  onMount(async () => {
    window.addEventListener('pagehide', flush);
    window.addEventListener('beforeunload', ask);
    preloadScanView();
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
        <WorksheetPane />
        <Show when={state.controller.open()} fallback={<Welcome />}>
          <FaultBoundary part="The view">
            <Stage />
          </FaultBoundary>
        </Show>
      </main>
      <DropCatcher
        onFiles={state.takeFiles}
        onNext={state.controller.followUp.canAdd() ? (files) => void takeNext(files) : null}
      />
    </AppContext.Provider>
  );
}
