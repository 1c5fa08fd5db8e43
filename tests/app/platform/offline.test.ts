import { createRoot } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { keepOffline, type Offline } from '../../../src/app/platform/offline.ts';

/** A version of the page, as the browser tells of it. */
class Version extends EventTarget {
  readonly heard: unknown[] = [];

  become(): void {
    this.dispatchEvent(new Event('statechange'));
  }

  postMessage(message: unknown): void {
    this.heard.push(message);
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

async function kept(beforeReload: () => Promise<void> = async () => {}): Promise<Offline> {
  const offline = createRoot((end) => {
    dispose = end;
    return keepOffline(beforeReload);
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

/** A page at work, behind which a version waits. */
async function withNext(beforeReload: () => Promise<void>): Promise<{ offline: Offline; next: Version }> {
  const atWork = new Version();
  const next = new Version();
  Object.assign(registration, { active: atWork, waiting: next });
  container.controller = atWork;
  return { offline: await kept(beforeReload), next };
}

const turn = () => new Promise((done) => setTimeout(done));

it('asks the next version in once, when what has to be done before is done, and says that it is coming', async () => {
  let done = () => {};
  const { offline, next } = await withNext(() => new Promise((end) => (done = end)));
  offline.letIn();
  offline.letIn();
  await turn();
  expect(offline.update()).toBe('coming');
  expect(next.heard).toEqual([]);
  done();
  await turn();
  expect(next.heard).toEqual(['skip-waiting']);
  // Told again of the same version, as when another tab asks for it.
  next.become();
  expect(offline.update()).toBe('coming');
});

it('lets nothing in where what has to be done before fails, and can be asked again', async () => {
  const fault = new Error('the device is full');
  let isFull = true;
  const { offline, next } = await withNext(async () => {
    if (isFull) throw fault;
  });
  await expect(offline.letIn()).rejects.toBe(fault);
  expect(offline.update()).toBe('ready');
  expect(next.heard).toEqual([]);
  isFull = false;
  await offline.letIn();
  expect(next.heard).toEqual(['skip-waiting']);
});
