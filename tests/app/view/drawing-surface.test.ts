import { type Camera, MeshBasicMaterial, PerspectiveCamera, Scene } from 'three';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import {
  type DrawingSurfaceEvents,
  makeDrawingCanvas,
  makeDrawingSurface,
} from '../../../src/app/view/drawing-surface.ts';

/** In place of the renderer, which no document here has: what it was told to do, and when the graphics process is done. */
const card = vi.hoisted(() => ({
  told: [] as string[],
  isDone: false,
  isMissing: false,
  cannotCompile: false,
}));
vi.mock(import('three'), async (original) => {
  const three = await original();
  class FakeRenderer {
    constructor() {
      if (card.isMissing) throw new Error('no WebGL');
    }
    setClearAlpha(): void {}
    setDrawingBufferSize(width: number, height: number, ratio: number): void {
      card.told.push(`size ${width} ${height} ${ratio}`);
    }
    compile(scene: Scene): void {
      if (card.cannotCompile) throw new Error('refused');
      card.told.push(`compile ${scene.children.length}`);
    }
    render(): void {
      card.told.push('render');
    }
    dispose(): void {
      card.told.push('dispose');
    }
    getContext() {
      return {
        SYNC_STATUS: 1,
        SIGNALED: 2,
        fenceSync: () => ({}),
        flush: () => {},
        isContextLost: () => false,
        getSyncParameter: () => (card.isDone ? 2 : 0),
        deleteSync: () => {},
      };
    }
  }
  return { ...three, WebGLRenderer: FakeRenderer as unknown as typeof three.WebGLRenderer };
});

const camera: Camera = new PerspectiveCamera();
const events = () => ({ resized: vi.fn(), lost: vi.fn(), restored: vi.fn() }) satisfies DrawingSurfaceEvents;

/** A host 300 by 200 px: a document without layout says 0. */
function host(): HTMLElement {
  const element = document.createElement('div');
  Object.defineProperties(element, { clientWidth: { value: 300 }, clientHeight: { value: 200 } });
  return element;
}
const makeIn = (element: HTMLElement, told = events()) =>
  makeDrawingSurface(element, makeDrawingCanvas(element), told);
const surfaceIn = (element: HTMLElement, told = events()) => makeIn(element, told)!;

let resize = (): void => {};
beforeEach(() => {
  Object.assign(card, { told: [], isDone: false, isMissing: false, cannotCompile: false });
  vi.useFakeTimers();
  vi.spyOn(HTMLCanvasElement.prototype, 'getContext').mockReturnValue(null);
  vi.stubGlobal(
    'ResizeObserver',
    class {
      constructor(act: () => void) {
        resize = act;
      }
      observe(): void {}
      disconnect(): void {
        resize = () => {};
      }
    },
  );
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

it('draws nothing until its programs are built, then once to have it over with, then what it is asked to', async () => {
  const surface = surfaceIn(host());
  const ready = surface.prepare([new MeshBasicMaterial(), new MeshBasicMaterial()], camera);
  surface.draw(new Scene(), camera);
  expect(card.told).toEqual(['compile 2']);
  await vi.advanceTimersByTimeAsync(500);
  surface.draw(new Scene(), camera);
  expect(card.told).toEqual(['compile 2']);
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(20);
  await ready;
  expect(card.told).toEqual(['compile 2', 'render']);
  expect(surface.canvas.style.visibility).toBe('hidden');
  surface.draw(new Scene(), camera);
  expect(card.told).toEqual(['compile 2', 'render', 'render']);
  expect(surface.canvas.style.visibility).toBe('');
});

it('waits for a graphics process that never answers no longer than two seconds', async () => {
  const ready = surfaceIn(host()).prepare([], camera);
  await vi.advanceTimersByTimeAsync(2100);
  await ready;
  expect(card.told).toEqual(['compile 0', 'render']);
});

it('draws although its programs could not be built beforehand', async () => {
  card.cannotCompile = true;
  const surface = surfaceIn(host());
  await expect(surface.prepare([], camera)).rejects.toThrow('refused');
  surface.draw(new Scene(), camera);
  expect(card.told).toEqual(['render']);
});

it('draws nothing once it is disposed of, also where that comes while its programs are built', async () => {
  const element = host();
  const surface = surfaceIn(element);
  const ready = surface.prepare([], camera);
  surface.dispose();
  expect(element.children).toHaveLength(0);
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(2100);
  await ready;
  surface.draw(new Scene(), camera);
  await surface.prepare([], camera);
  expect(card.told).toEqual(['compile 0', 'dispose']);
});

it('draws nothing while the picture is lost, and says both', async () => {
  const told = events();
  const surface = surfaceIn(host(), told);
  card.isDone = true;
  const ready = surface.prepare([], camera);
  await vi.advanceTimersByTimeAsync(20);
  await ready;
  card.told.length = 0;
  const lost = new Event('webglcontextlost', { cancelable: true });
  surface.canvas.dispatchEvent(lost);
  // Without that the browser does not give it back.
  expect(lost.defaultPrevented).toBe(true);
  surface.draw(new Scene(), camera);
  expect(card.told).toEqual([]);
  surface.canvas.dispatchEvent(new Event('webglcontextrestored'));
  surface.draw(new Scene(), camera);
  expect(card.told).toEqual(['render']);
  expect([told.lost.mock.calls.length, told.restored.mock.calls.length]).toEqual([1, 1]);
});

it('takes the size of its host, in at most two device pixels per CSS pixel', () => {
  vi.stubGlobal('devicePixelRatio', 3);
  const told = events();
  const surface = surfaceIn(host(), told);
  expect([surface.canvas.width, surface.canvas.height]).toEqual([600, 400]);
  resize();
  expect(card.told).toEqual(['size 300 200 2']);
  expect(told.resized).toHaveBeenCalledWith(300, 200, 2);
});

it('asks for the context of its canvas once that has its size', () => {
  const asked: unknown[] = [];
  vi.mocked(HTMLCanvasElement.prototype.getContext).mockImplementation(function (
    this: HTMLCanvasElement,
    kind: string,
  ) {
    asked.push([kind, this.width, this.height]);
    return null;
  });
  makeDrawingCanvas(host());
  expect(asked).toEqual([['webgl2', 300, 200]]);
});

it('is none where the browser has no WebGL, and leaves nothing behind', () => {
  card.isMissing = true;
  const element = host();
  expect(makeIn(element)).toBeNull();
  expect(element.children).toHaveLength(0);
});
