import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { DisplayReply, ScanSight } from '../../../src/app/view/display-messages.ts';
import type { DrawingEvent } from '../../../src/app/view/drawing-messages.ts';
import { buildPickTree } from '../../../src/app/view/pick-tree.ts';
import { makeScanView, type ViewActions } from '../../../src/app/view/scan-view.ts';
import type { ViewContent } from '../../../src/app/view/view-content.ts';
import type { Click } from '../../../src/teeth/types.ts';
import { holdFrames, showPage } from './page-frames.ts';

/** A view whose pictures come when the test says so. */

class FakeWorker {
  static made: FakeWorker[] = [];
  onmessage: ((event: { data: unknown }) => void) | null = null;
  readonly name: string;
  constructor(url: URL) {
    this.name = url.href;
    FakeWorker.made.push(this);
  }
  postMessage(): void {}
  terminate(): void {}
}
const said = (worker: string, data: DrawingEvent | DisplayReply): void =>
  FakeWorker.made.find(({ name }) => name.includes(worker))!.onmessage!({ data });
const tell = (event: DrawingEvent): void => said('drawing-worker', event);
const SIGHT: ScanSight = {
  points: Float32Array.of(-9, -9, 0, 9, -9, 0, 0, 9, 0),
  centre: [0, 0, 0],
  radiusMm: 13,
  guess: null,
};

beforeEach(() => {
  FakeWorker.made = [];
  vi.stubGlobal('Worker', FakeWorker);
  vi.stubGlobal(
    'ResizeObserver',
    class {
      observe(): void {}
      disconnect(): void {}
    },
  );
  holdFrames();
  vi.stubGlobal('matchMedia', () => ({ matches: true }));
  Object.assign(HTMLCanvasElement.prototype, { transferControlToOffscreen: () => ({}) });
});
afterEach(() => {
  vi.unstubAllGlobals();
  Reflect.deleteProperty(HTMLCanvasElement.prototype, 'transferControlToOffscreen');
});

const click = (x: number): Click => ({ tooth: 11, point: [x, 0, 0] });
const CONTENT: ViewContent = {
  scan: {
    scanId: 'a',
    positions: Float32Array.of(-9, -9, 0, 9, -9, 0, 0, 9, 0),
    normals: Float32Array.of(0, 0, 1, 0, 0, 1, 0, 0, 1),
    triangles: Uint32Array.of(0, 1, 2),
    colors: null,
  },
  labels: null,
  clicks: [click(1)],
  proposals: [],
  teeth: [],
  contacts: [],
  selected: null,
  motions: null,
  motionScale: 0,
  frame: null,
  mode: 'click-tooth',
  numbering: 'iso',
  earlier: null,
  scanColours: false,
  showsRestoration: true,
};

it('pins have their places before the next picture, as the picture has it that one sees', () => {
  const host = document.createElement('div');
  const actions = new Proxy({} as ViewActions, { get: () => () => {} });
  const view = makeScanView(host, 'worker', actions);
  const places = () =>
    [...host.querySelectorAll<HTMLElement>('.scan-view-pin')].map(({ style }) => style.transform);
  const visibility = () => host.querySelector<HTMLElement>('.scan-view-overlay')!.style.visibility;
  view.update(CONTENT);
  showPage();
  tell({ kind: 'drawn' });
  // Nobody knows yet from where the scan is looked at.
  expect(visibility()).toBe('hidden');
  said('display-worker', { kind: 'sight', sight: SIGHT });
  showPage();
  expect(visibility()).toBe('');
  tell({ kind: 'drawn' });
  const [first] = places();
  expect(first).toContain('translate(');
  // The scan is turned, and its picture does not come yet; a click is made meanwhile.
  view.panBy(40, 0);
  showPage();
  expect(places()).toEqual([first]);
  view.update({ ...CONTENT, clicks: [click(1), click(2)] });
  expect(places()).toEqual([first, expect.stringContaining('translate(')]);
  expect(places()[1]).not.toBe(first);
  tell({ kind: 'drawn' });
  expect(places()[0]).not.toBe(first);
  view.update({ ...CONTENT, scan: { ...CONTENT.scan!, scanId: 'b' } });
  showPage();
  expect(visibility()).toBe('hidden');
  view.dispose();
});

it('a click by key counts where the keys before it have shifted the scan, drawn or not', () => {
  const host = document.createElement('div');
  const picked: number[] = [];
  const pick: ViewActions['pick'] = ({ point }) => void picked.push(Math.round(10 * point[0]) / 10);
  const actions = new Proxy({} as ViewActions, { get: (_, name) => (name === 'pick' ? pick : () => {}) });
  const view = makeScanView(host, 'worker', actions);
  view.update(CONTENT);
  said('display-worker', { kind: 'sight', sight: SIGHT });
  said('display-worker', { kind: 'tree', tree: buildPickTree(CONTENT.scan!) });
  showPage();
  tell({ kind: 'drawn' });
  view.pickCentre();
  showPage();
  // A view without a size is one pixel large: of it a fiftieth to the left.
  view.panBy(-0.02, 0);
  view.pickCentre();
  expect(picked).toHaveLength(2);
  expect(picked[1]).not.toBe(picked[0]);
  view.dispose();
});

/** Of one triangle, as the worker that prepares it gives it. */
const SURFACE: DisplayReply = {
  kind: 'surface',
  arrays: {
    position: new Float32Array(9),
    normal: new Float32Array(9),
    shade: new Float32Array(3),
    paint: new Uint8Array(12),
    index: Uint32Array.of(0, 1, 2),
  },
};

it('says that it prepares a scan until there is a picture with it', () => {
  const told: boolean[] = [];
  const actions = new Proxy({} as ViewActions, {
    get: (_, name) => (name === 'preparing' ? (is: boolean) => told.push(is) : () => {}),
  });
  const view = makeScanView(document.createElement('div'), 'worker', actions);
  view.update(CONTENT);
  showPage();
  tell({ kind: 'drawn' });
  said('display-worker', { kind: 'sight', sight: SIGHT });
  showPage();
  // Asked for before there was a surface, and comes after it.
  said('display-worker', SURFACE);
  tell({ kind: 'drawn' });
  expect(told).toEqual([true]);
  showPage();
  tell({ kind: 'drawn' });
  expect(told).toEqual([true, false]);
  view.update({ ...CONTENT, scan: null });
  expect(told).toEqual([true, false, false]);
  view.dispose();
});

it('a view in place of another stands where that one stood, for its first scan', () => {
  const actions = new Proxy({} as ViewActions, { get: () => () => {} });
  const first = makeScanView(document.createElement('div'), 'worker', actions);
  expect(first.standpoint()).toBeNull();
  first.update(CONTENT);
  expect(first.standpoint()).toBeNull();
  said('display-worker', { kind: 'sight', sight: SIGHT });
  first.turnBy(30, 10);
  const stood = first.standpoint()!;
  expect(stood.isChosen).toBe(true);
  first.dispose();
  FakeWorker.made = [];
  const second = makeScanView(document.createElement('div'), 'worker', actions, stood);
  second.update(CONTENT);
  said('display-worker', { kind: 'sight', sight: SIGHT });
  expect(second.standpoint()).toEqual(stood);
  FakeWorker.made = [];
  second.update({ ...CONTENT, scan: { ...CONTENT.scan!, scanId: 'b' } });
  expect(second.standpoint()).toBeNull();
  said('display-worker', { kind: 'sight', sight: SIGHT });
  expect(second.standpoint()).toMatchObject({ isChosen: false });
  expect(second.standpoint()!.pose).not.toEqual(stood.pose);
  second.dispose();
});
