import { createRoot } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { keepOffline, type Offline } from '../../../src/app/platform/offline.ts';

/** A version of the page, as the browser tells of it. */
class Version extends EventTarget {
  become(): void {
    this.dispatchEvent(new Event('statechange'));
  }
}

class Registration extends EventTarget {
  installing: Version | null = null;
  waiting: Version | null = null;
  active: Version | null = null;
}

let registration: Registration;
let container: EventTarget & { controller: Version | null; register: () => Promise<Registration> };
let dispose: () => void;

beforeEach(() => {
  vi.stubEnv('PROD', true);
  registration = new Registration();
  container = Object.assign(new EventTarget(), { controller: null, register: async () => registration });
  Object.defineProperty(navigator, 'serviceWorker', { configurable: true, value: container });
});
afterEach(() => {
  dispose();
  Reflect.deleteProperty(navigator, 'serviceWorker');
  vi.unstubAllEnvs();
});

async function kept(): Promise<Offline> {
  const offline = createRoot((end) => {
    dispose = end;
    return keepOffline(async () => {});
  });
  await new Promise((done) => setTimeout(done));
  return offline;
}

/** A version begins to be fetched. */
function found(version: Version): void {
  registration.installing = version;
  registration.dispatchEvent(new Event('updatefound'));
}

it('tells of a version that waits behind the one at work', async () => {
  const atWork = new Version();
  registration.active = atWork;
  container.controller = atWork;
  const offline = await kept();
  const next = new Version();
  found(next);
  expect(offline.update()).toBe('none');
  Object.assign(registration, { installing: null, waiting: next });
  next.become();
  expect(offline.update()).toBe('ready');
});

it('tells nothing of the first version, whichever order the browser tells its steps in', async () => {
  const offline = await kept();
  const first = new Version();
  found(first);
  // As seen in WebKitGTK 2.50.6 on a busy page: the controller is there before the first step is told.
  Object.assign(registration, { installing: null, waiting: first });
  container.controller = first;
  first.become();
  expect(offline.update()).toBe('none');
  Object.assign(registration, { waiting: null, active: first });
  first.become();
  expect(offline.update()).toBe('none');
});
