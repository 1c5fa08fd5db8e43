import { createRoot, createSignal } from 'solid-js';
import { describe, expect, it } from 'vitest';
import type { CaseController } from '../../../src/app/kernel/create-case.ts';
import { createDesk } from '../../../src/app/kernel/create-desk.ts';

type Open = ReturnType<CaseController['open']>;

function made() {
  return createRoot((dispose) => {
    const [visit, setVisit] = createSignal<number | null>(null);
    const open = () => (visit() === null ? null : ({ visit: visit() } as unknown as Open));
    return { desk: createDesk({ open }), setVisit, dispose };
  });
}

describe('createDesk', () => {
  it('begins with the case and shows what is asked for', () => {
    const { desk, dispose } = made();
    expect(desk.name()).toBe('case');
    desk.show('agreement');
    expect(desk.name()).toBe('agreement');
    dispose();
  });

  it('goes to the case whenever one is opened, and stays where it is while the same one is read again', () => {
    const { desk, setVisit, dispose } = made();
    desk.show('crowns');
    setVisit(1);
    expect(desk.name()).toBe('case');
    desk.show('crowns');
    setVisit(1);
    expect(desk.name()).toBe('crowns');
    setVisit(2);
    expect(desk.name()).toBe('case');
    dispose();
  });
});
