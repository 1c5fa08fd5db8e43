import { createContext, useContext } from 'solid-js';
import type { AgreementControl } from './create-agreement.ts';
import type { CaseController } from './create-case.ts';
import type { ClickHelper } from './create-click-help.ts';
import type { CrownsControl } from './create-crowns.ts';
import type { Desk } from './create-desk.ts';
import type { FitControl } from './create-fit.ts';
import type { Playback } from './create-playback.ts';
import type { PracticeControl } from './create-practice.ts';
import type { CaseFile, GivenFile } from './given-file.ts';
import type { Persistence } from './persistence-types.ts';
import type { Preferences } from './preferences.ts';
import type { Worksheet } from './worksheet.ts';

/** All that the screens work with. */
export interface AppState {
  /** Of the page, for the files it writes. */
  readonly version: string;
  readonly controller: CaseController;
  readonly persistence: Persistence;
  readonly preferences: Preferences;
  readonly playback: Playback;
  readonly practice: PracticeControl;
  readonly worksheet: Worksheet;
  readonly clickHelp: ClickHelper;
  readonly desk: Desk;
  readonly fit: FitControl;
  readonly crowns: CrownsControl;
  readonly agreement: AgreementControl;
  /** Reads files and hands them over; what cannot be read is told. */
  readonly readFor: (files: Iterable<File>, take: (files: readonly CaseFile[]) => void) => void;
  /** The same for what may be heavy scans, which their worker reads. */
  readonly lookFor: (files: Iterable<File>, take: (files: readonly GivenFile[]) => void) => void;
  /** Reads files that were dropped or picked and opens them. */
  readonly takeFiles: (files: Iterable<File>) => void;
  /** Reads the first of these files and puts it beside the open scan, as the other arch. */
  readonly takeOther: (files: Iterable<File>) => void;
}

export const AppContext = createContext<AppState>();

/** @throws Error outside of the provider: a screen without its state is a mistake in the page */
export function useApp(): AppState {
  const state = useContext(AppContext);
  if (!state) throw new Error('useApp was called outside of AppContext.Provider.');
  return state;
}
