import { type Accessor, createSignal } from 'solid-js';
import { type CaseInputs, emptyInputs } from './case-inputs.ts';
import { type History, record, redo, retract, startHistory, undo } from './history.ts';

/** The inputs of the open case with undo and redo. */
export interface InputsControl {
  readonly inputs: Accessor<CaseInputs>;
  /** @param tag - see {@link History}; changes in a row with the same tag are one step */
  change(next: (inputs: CaseInputs) => CaseInputs, tag?: string | null): void;
  /** Another case: nothing of the former one can be undone. */
  reset(inputs?: CaseInputs): void;
  /** Goes on with a history that was kept, e.g. of the other arch of the case. */
  resume(history: History<CaseInputs>): void;
  readonly history: Accessor<History<CaseInputs>>;
  undo(): void;
  redo(): void;
  /** The next change is a step of its own, and what had been undone can no longer be redone. */
  endStep(): void;
  /** Takes the last change back for good, if `inputs` are still those it made. */
  refuse(inputs: CaseInputs): void;
  readonly canUndo: Accessor<boolean>;
  readonly canRedo: Accessor<boolean>;
  /** Tag of the last change, null after undo and redo. */
  readonly lastTag: Accessor<string | null>;
}

export function createInputs(): InputsControl {
  const [history, setHistory] = createSignal<History<CaseInputs>>(startHistory(emptyInputs()));
  return {
    inputs: () => history().present,
    change: (next, tag = null) => setHistory((h) => record(h, next(h.present), tag)),
    reset: (inputs = emptyInputs()) => setHistory(startHistory(inputs)),
    resume: (kept) => setHistory(kept),
    history,
    undo: () => setHistory(undo),
    redo: () => setHistory(redo),
    endStep: () => setHistory((h) => ({ ...h, future: [], tag: null })),
    refuse: (inputs) => setHistory((h) => (h.present === inputs ? retract(h) : h)),
    canUndo: () => history().past.length > 0,
    canRedo: () => history().future.length > 0,
    lastTag: () => history().tag,
  };
}
