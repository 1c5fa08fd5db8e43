import { beforeEach, expect, it, vi } from 'vitest';

vi.mock('../../../src/app/platform/wake-graphics.ts', () => ({ wakeGraphics: vi.fn() }));

let fetched: (() => void)[];

vi.mock('../../../src/app/view/picker.ts', async () => {
  await new Promise<void>((done) => fetched.push(done));
  return {};
});
vi.mock('../../../src/app/view/ScanViewPane.tsx', () => ({ view: 'the view' }));

beforeEach(() => {
  fetched = [];
  vi.resetModules();
});

const isSettled = async (promise: Promise<unknown>) =>
  (await Promise.race([promise.then(() => 'settled'), new Promise((done) => setTimeout(done, 20))])) ===
  'settled';

it('waits for what was asked for before it was needed, and for nothing where nothing was', async () => {
  const { preloaded, preloadScanView } = await import('../../../src/app/platform/load-scan-view.ts');
  expect(await isSettled(preloaded())).toBe(true);
  preloadScanView();
  expect(await isSettled(preloaded())).toBe(false);
  await vi.waitFor(() => expect(fetched).toHaveLength(1));
  expect(await isSettled(preloaded())).toBe(false);
  for (const done of fetched) done();
  await preloaded();
});
