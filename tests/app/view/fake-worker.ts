import { vi } from 'vitest';

/** In place of the browser's worker: what was sent to it, and who hears of it. */
export class FakeWorker<Told> {
  static made: FakeWorker<never>[] = [];
  onmessage: ((event: { data: Told }) => void) | null = null;
  onerror: ((event: { message: string }) => void) | null = null;
  onmessageerror: (() => void) | null = null;
  readonly postMessage = vi.fn();
  readonly terminate = vi.fn();
  constructor() {
    FakeWorker.made.push(this as FakeWorker<never>);
  }
}

/** The first that was made. */
export const firstWorker = <Told>(): FakeWorker<Told> => FakeWorker.made[0] as FakeWorker<Told>;
