import type { Accessor } from 'solid-js';
import type { CaseLocks } from './case-locks.ts';
import type { CaseStorage, StoredCase } from './case-storage.ts';
import type { CaseController } from './create-case.ts';
import type { TextStore } from './preferences.ts';

/** `elsewhere`: another tab has the case, so this one does not save it. */
export type SaveState = 'nothing' | 'saving' | 'saved' | 'full' | 'failed' | 'elsewhere';

/** Keeps the open case on the device as it changes, and brings it back. */
export interface Persistence {
  readonly state: Accessor<SaveState>;
  /** All cases on the device, newest first. */
  readonly cases: Accessor<readonly StoredCase[]>;
  /** Cases on the device that this version cannot read; they are left alone. */
  readonly unreadable: Accessor<number>;
  /** The case that was asked for and that another tab has; null = none. */
  readonly elsewhere: Accessor<StoredCase | null>;
  /** Opens that case here; the other tab saves and closes it. Or leaves it there. */
  takeOver(): Promise<void>;
  leaveElsewhere(): void;
  /** Opens what was open when the page was last left. */
  restoreLast(): Promise<void>;
  openStored(stored: StoredCase): Promise<void>;
  /** Deletes a case from the device, closing it when it is open. */
  remove(id: string): Promise<void>;
  /** Saves at once what still waits. */
  flush(): Promise<void>;
  /** Something of the open case would be gone with the page. */
  isAtRisk(): boolean;
}

export interface PersistenceSources {
  readonly storage: CaseStorage;
  readonly marks: TextStore;
  /** Marks of this tab alone; left out: as `marks`. */
  readonly tabMarks?: TextStore;
  readonly controller: CaseController;
  readonly now: () => Date;
  readonly locks?: CaseLocks;
  readonly newKey?: () => string;
}
