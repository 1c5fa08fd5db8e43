import { type Accessor, createSignal } from 'solid-js';
import { DEFAULT_PRACTICE, type Practice, readPractice, writePractice } from '../../closure/practice.ts';
import { ArchgapError } from '../../geometry/archgap-error.ts';
import type { TextStore } from './preferences.ts';

/** The preferences of the practice, kept on the device. */
export interface PracticeControl {
  readonly practice: Accessor<Practice>;
  readonly change: (part: Partial<Practice>) => void;
  /** As a file. */
  readonly exported: () => string;
  /**
   * Takes over a file.
   * @throws ArchgapError `PRACTICE_FILE`; nothing is changed then
   */
  readonly take: (text: string) => void;
}

const KEY = 'archgap.practice';

export function createPractice(store: TextStore): PracticeControl {
  const [practice, setPractice] = createSignal(stored(store));
  const keep = (next: Practice) => {
    setPractice(next);
    store.set(KEY, writePractice(next));
  };
  return {
    practice,
    change: (part) => keep({ ...practice(), ...part }),
    exported: () => writePractice(practice()),
    take: (text) => keep(readPractice(text)),
  };
}

/** As it was kept; what cannot be read is as good as nothing. */
function stored(store: TextStore): Practice {
  const text = store.get(KEY);
  if (!text) return DEFAULT_PRACTICE;
  try {
    return readPractice(text);
  } catch (fault) {
    if (fault instanceof ArchgapError) return DEFAULT_PRACTICE;
    throw fault;
  }
}
