/** A key of the page and what it does, for the list behind `?`. */
export interface Shortcut {
  readonly keys: readonly string[];
  readonly does: string;
}

export const PAGE_SHORTCUTS: readonly Shortcut[] = [
  { keys: ['Ctrl+Z'], does: 'Undo' },
  { keys: ['Ctrl+Shift+Z', 'Ctrl+Y'], does: 'Redo' },
  { keys: ['Ctrl+P'], does: 'Print the record, once it is ready' },
  { keys: ['Shift+1', '… 7'], does: 'Go to a section of the worksheet' },
  { keys: ['1', '2', '3', '4', '0'], does: 'See the scan from above, front, right, left; the whole scan' },
  { keys: ['N', 'P'], does: 'Next, previous contact' },
  { keys: ['T'], does: 'Click teeth on the scan' },
  { keys: ['G'], does: 'Click gum on the scan' },
  { keys: ['B'], does: 'Paint corrections on the scan' },
  { keys: ['A'], does: 'Accept all proposed places of teeth' },
  { keys: ['C'], does: 'Copy the note for the order' },
  { keys: ['Esc'], does: 'Take proposed places off; only look at the scan; let go of the chosen contact' },
  { keys: ['↑', '↓', 'Home', 'End'], does: 'In the contact table: choose a contact' },
  { keys: ['←', '→', '↑', '↓', '+', '−'], does: 'In the view: turn the scan (with Shift: shift it), zoom' },
  { keys: ['Enter'], does: 'In the view: click what lies in the middle' },
  { keys: ['?'], does: 'This list' },
];
