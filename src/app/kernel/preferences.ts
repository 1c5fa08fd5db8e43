import { type Accessor, createEffect, createSignal } from 'solid-js';
import { readScannerProfile, writeScannerProfile } from '../../contacts/scanner-profile.ts';
import type { ScannerProfile } from '../../contacts/types.ts';
import { ArchgapError } from '../../geometry/archgap-error.ts';
import type { NumberingScheme } from '../../teeth/types.ts';

export type ThemeChoice = 'system' | 'light' | 'dark';

/** Small settings of the person, not of the case. */
export interface Preferences {
  readonly numbering: Accessor<NumberingScheme>;
  readonly setNumbering: (scheme: NumberingScheme) => void;
  readonly theme: Accessor<ThemeChoice>;
  readonly setTheme: (theme: ThemeChoice) => void;
  /** Letters and digits without a modifier act as keys (WCAG 2.1.4 asks that this can be switched off). */
  readonly singleKeys: Accessor<boolean>;
  readonly setSingleKeys: (on: boolean) => void;
  /** After two or three clicks the places of the other teeth are proposed. */
  readonly clickHelp: Accessor<boolean>;
  readonly setClickHelp: (on: boolean) => void;
  /** Terms of the scanner in use; null: the stated assumptions. */
  readonly scanner: Accessor<ScannerProfile | null>;
  readonly setScanner: (profile: ScannerProfile | null) => void;
}

/** Where they are kept; the page gives its local storage. */
export interface TextStore {
  get(key: string): string | null;
  set(key: string, value: string): void;
}

const NUMBERINGS: readonly NumberingScheme[] = ['iso', 'universal', 'palmer'];
const THEMES: readonly ThemeChoice[] = ['system', 'light', 'dark'];
const SWITCH = ['on', 'off'] as const;

const SCANNER_KEY = 'archgap.scanner';

/** The profile as it was kept; one that cannot be read is as good as none. */
function storedScanner(store: TextStore): ScannerProfile | null {
  const text = store.get(SCANNER_KEY);
  if (!text) return null;
  try {
    return readScannerProfile(text);
  } catch (fault) {
    if (fault instanceof ArchgapError) return null;
    throw fault;
  }
}

export function createPreferences(store: TextStore): Preferences {
  const pick = <T extends string>(key: string, allowed: readonly T[], fallback: T): T =>
    allowed.find((value) => value === store.get(key)) ?? fallback;
  const [numbering, setNumbering] = createSignal(pick('archgap.numbering', NUMBERINGS, 'iso'));
  const [theme, setTheme] = createSignal(pick('archgap.theme', THEMES, 'system'));
  const [singleKeys, setSingleKeys] = createSignal(pick('archgap.single-keys', SWITCH, 'on') === 'on');
  const [clickHelp, setClickHelp] = createSignal(pick('archgap.click-help', SWITCH, 'on') === 'on');
  const [scanner, setScanner] = createSignal(storedScanner(store));
  createEffect(() => {
    const profile = scanner();
    store.set(SCANNER_KEY, profile === null ? '' : writeScannerProfile(profile));
  });
  createEffect(() => store.set('archgap.click-help', clickHelp() ? 'on' : 'off'));
  createEffect(() => store.set('archgap.single-keys', singleKeys() ? 'on' : 'off'));
  createEffect(() => store.set('archgap.numbering', numbering()));
  createEffect(() => store.set('archgap.theme', theme()));
  return {
    numbering,
    setNumbering,
    theme,
    setTheme,
    singleKeys,
    setSingleKeys,
    clickHelp,
    setClickHelp,
    scanner,
    setScanner,
  };
}
