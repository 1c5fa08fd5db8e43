/** Undo and redo of plain values. Nothing is copied: the values are immutable. */
export interface History<T> {
  readonly past: readonly T[];
  readonly present: T;
  readonly future: readonly T[];
  /** What made `present`; two changes in a row with the same tag are undone as one (dragging a slider). */
  readonly tag: string | null;
}

/** Steps kept. A case has some thirty clicks; a value is a few kilobytes. */
const MOST_STEPS = 300;

export function startHistory<T>(present: T): History<T> {
  return { past: [], present, future: [], tag: null };
}

/** A new present; what had been undone before can no longer be redone. */
export function record<T>(history: History<T>, next: T, tag: string | null = null): History<T> {
  if (next === history.present) return history;
  if (tag !== null && tag === history.tag) return { ...history, present: next, future: [] };
  const past = [...history.past, history.present].slice(-MOST_STEPS);
  return { past, present: next, future: [], tag };
}

export function undo<T>(history: History<T>): History<T> {
  const previous = history.past.at(-1);
  if (history.past.length === 0 || previous === undefined) return history;
  return {
    past: history.past.slice(0, -1),
    present: previous,
    future: [history.present, ...history.future],
    tag: null,
  };
}

export function redo<T>(history: History<T>): History<T> {
  const [next, ...rest] = history.future;
  if (history.future.length === 0 || next === undefined) return history;
  return { past: [...history.past, history.present], present: next, future: rest, tag: null };
}

/** Takes the last step back for good: it was refused, so it is not offered for redo. */
export function retract<T>(history: History<T>): History<T> {
  return { ...undo(history), future: history.future };
}
