import { onCleanup } from 'solid-js';
import { makeAnalysisClient } from './kernel/analysis-client.ts';
import type { AppState } from './kernel/app-context.ts';
import { createAgreement } from './kernel/create-agreement.ts';
import { createCase } from './kernel/create-case.ts';
import { createClickHelp } from './kernel/create-click-help.ts';
import { createCrowns } from './kernel/create-crowns.ts';
import { createDesk } from './kernel/create-desk.ts';
import { createFit } from './kernel/create-fit.ts';
import { createPersistence } from './kernel/create-persistence.ts';
import { createPlayback } from './kernel/create-playback.ts';
import { createPractice } from './kernel/create-practice.ts';
import { createPreferences } from './kernel/preferences.ts';
import { createWorksheet } from './kernel/worksheet.ts';
import { atFirstSign } from './platform/at-first-sign.ts';
import {
  fetchDemo,
  localTextStore,
  readFiles,
  spawnAnalysisWorker,
  tabTextStore,
} from './platform/browser.ts';
import { makeIdbCaseStorage } from './platform/idb-case-storage.ts';
import { lookAtFiles } from './platform/look-at-files.ts';
import { makeWebCaseLocks } from './platform/web-case-locks.ts';

/** Joins the kernel to the browser. Called once, inside the root of the page. */
export function createAppState(version: string): AppState {
  const now = () => new Date();
  const client = makeAnalysisClient({
    spawn: spawnAnalysisWorker,
    onStopped: (error) => void controller.recover(error),
  });
  onCleanup(() => client.dispose());
  atFirstSign(() => client.start());
  const newId = () => crypto.randomUUID();
  const preferences = createPreferences(localTextStore);
  const { numbering, scanner } = preferences;
  const practice = createPractice(localTextStore);
  const controller = createCase({
    client,
    fetchDemo,
    newId,
    numbering,
    scanner,
    practice: practice.practice,
    version,
    now,
  });
  /** A folder that was dropped, or a file that is gone or locked, has nothing to read. */
  const unlessTold = <Read>(reading: Promise<Read>, take: (read: Read) => void) =>
    void reading.then(take, () => {
      controller.tell('The files could not be read; give scan files, not folders, and try again.', 'failed');
    });
  const readFor: AppState['readFor'] = (files, take) => unlessTold(readFiles(files), take);
  const lookFor: AppState['lookFor'] = (files, take) => unlessTold(lookAtFiles(files), take);
  const worksheet = createWorksheet(controller);
  const desk = createDesk();
  const crowns = createCrowns({ client, numbering, version, now });
  const agreement = createAgreement(client, version);
  return {
    version,
    controller,
    persistence: createPersistence({
      storage: makeIdbCaseStorage(),
      marks: localTextStore,
      tabMarks: tabTextStore,
      controller,
      now,
      locks: makeWebCaseLocks(),
    }),
    preferences,
    playback: createPlayback(controller.results.plan),
    practice,
    worksheet,
    clickHelp: createClickHelp({ client, controller, worksheet, preferences }),
    desk,
    fit: createFit(client, controller, numbering),
    crowns,
    agreement,
    readFor,
    lookFor,
    takeFiles: (given) => {
      const files = [...given];
      if (files.every(({ name }) => /\.csv$/i.test(name))) desk.show('agreement');
      if (desk.name() === 'agreement') readFor(files, agreement.add);
      else if (desk.name() === 'crowns') readFor(files, crowns.add);
      else lookFor(files, (looked) => void controller.openFiles(looked));
    },
    takeOther: (files) => lookFor(files, ([file]) => file && controller.setOther(file)),
  };
}
