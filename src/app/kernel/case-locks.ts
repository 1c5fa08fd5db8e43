/** A case that this tab alone may change. */
export interface HeldCase {
  release(): void;
}

/** Who of the tabs of this browser has which case. The page gives one on Web Locks; tests play it. */
export interface CaseLocks {
  /** Takes a case for this tab; null = another tab has it. */
  take(id: string): Promise<HeldCase | null>;
  /** Asks the tab that has it to save and close it, and takes it; by force from a tab that does not answer. */
  takeOver(id: string): Promise<HeldCase | null>;
  /** Called when another tab wants a case that this one has; it has to be released. */
  onAsked(answer: (id: string) => Promise<void>): void;
  /** Called when a case was taken by force. */
  onLost(tell: (id: string) => void): void;
}

/** For browsers without locks: every case is free. */
export const NO_LOCKS: CaseLocks = {
  take: async () => ({ release: () => {} }),
  takeOver: async () => ({ release: () => {} }),
  onAsked: () => {},
  onLost: () => {},
};
