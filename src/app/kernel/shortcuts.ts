/** A key of the page and what it does, for the list behind `?`. */
export interface Shortcut {
  readonly keys: readonly string[];
  readonly does: string;
}

export const PAGE_SHORTCUTS: readonly Shortcut[] = [
  { keys: ['Ctrl+Z'], does: 'Undo' },
  { keys: ['Ctrl+Shift+Z', 'Ctrl+Y'], does: 'Redo' },
  { keys: ['1', '2', '3', '4', '5'], does: 'Go to a section of the worksheet' },
  { keys: ['N', 'P'], does: 'Next, previous contact' },
  { keys: ['T'], does: 'Click teeth on the scan' },
  { keys: ['G'], does: 'Click gum on the scan' },
  { keys: ['Esc'], does: 'Only look at the scan; let go of the chosen contact' },
  { keys: ['↑', '↓', 'Home', 'End'], does: 'In the contact table: choose a contact' },
  { keys: ['?'], does: 'This list' },
];
