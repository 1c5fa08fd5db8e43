import type { CaseLocks, HeldCase } from '../../../src/app/kernel/case-locks.ts';

/** The locks of a browser with several tabs. */
export function makeBrowser() {
  const holders = new Map<string, { tab: number; free: () => void }>();
  const tabs: { asked: (id: string) => Promise<void>; lost: (id: string) => void }[] = [];
  return {
    /** A tab that hangs answers nothing. */
    hung: new Set<number>(),
    newTab(): CaseLocks {
      const tab = tabs.push({ asked: async () => {}, lost: () => {} }) - 1;
      const grab = (id: string): HeldCase => {
        const entry = { tab, free: () => {} };
        holders.set(id, entry);
        return { release: () => void (holders.get(id) === entry && holders.delete(id)) };
      };
      return {
        take: async (id) => (holders.has(id) ? null : grab(id)),
        takeOver: async (id) => {
          const holder = holders.get(id);
          if (holder && !this.hung.has(holder.tab)) await tabs[holder.tab]!.asked(id);
          else if (holder) tabs[holder.tab]!.lost(id);
          return grab(id);
        },
        onAsked: (answer) => {
          tabs[tab]!.asked = answer;
        },
        onLost: (tell) => {
          tabs[tab]!.lost = tell;
        },
      };
    },
  };
}
