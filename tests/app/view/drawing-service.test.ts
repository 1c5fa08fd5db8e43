import type { Color, Mesh, OrthographicCamera, Scene, ShaderMaterial, Vector4 } from 'three';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { DrawingEvent, DrawingRequest } from '../../../src/app/view/drawing-messages.ts';
import { makeDrawingService } from '../../../src/app/view/drawing-service.ts';

/** In place of the renderer, which no document here has: what it was told to do, and when the graphics process is done. */
const card = vi.hoisted(() => ({
  told: [] as string[],
  seen: null as { scene: Scene; camera: OrthographicCamera } | null,
  isDone: false,
  isMissing: false,
  isLost: false,
  cannotCompile: false,
  fails: false,
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
    render(scene: Scene, camera: OrthographicCamera): void {
      if (card.fails) throw new Error('no memory for it');
      card.told.push('render');
      card.seen = { scene, camera };
    }
    dispose(): void {
      card.told.push('dispose');
    }
    getContext() {
      return {
        SYNC_STATUS: 1,
        SIGNALED: 2,
        fenceSync: () => (card.isLost ? null : {}),
        flush: () => {},
        isContextLost: () => card.isLost,
        getSyncParameter: () => (card.isDone ? 2 : 0),
        deleteSync: () => {},
      };
    }
  }
  return { ...three, WebGLRenderer: FakeRenderer as unknown as typeof three.WebGLRenderer };
});

const DRAW = {
  kind: 'draw',
  camera: { position: [1, 2, 3], rotation: [0, 0, 0, 1], halfWidthMm: 40, halfHeightMm: 30, farMm: 200 },
  size: { widthPx: 300, heightPx: 200, pixelRatio: 2 },
} as const satisfies DrawingRequest;

function begun(isApart = false) {
  const canvas = document.createElement('canvas');
  const events: string[] = [];
  const service = makeDrawingService(canvas, (event: DrawingEvent) => events.push(event.kind), isApart);
  return { canvas, service: service!, heard: () => events.splice(0).join(' '), made: service !== null };
}
/** What the renderer was told since the last time. */
const told = (): string => card.told.splice(0).join(', ');

beforeEach(() => {
  Object.assign(card, {
    told: [],
    seen: null,
    isDone: false,
    isMissing: false,
    isLost: false,
    cannotCompile: false,
    fails: false,
  });
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
  vi.restoreAllMocks();
});

async function ready(isApart = false) {
  const drawing = begun(isApart);
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(20);
  drawing.heard();
  told();
  return drawing;
}

it('draws nothing until its programs are built, then once to have it over with, then what was asked for last', async () => {
  const { service, heard } = begun();
  service.answer(DRAW);
  await vi.advanceTimersByTimeAsync(500);
  service.answer({ ...DRAW, camera: { ...DRAW.camera, farMm: 300 } });
  expect([told(), heard()]).toEqual(['compile 2', 'begun']);
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(20);
  expect([told(), heard()]).toEqual(['render, size 300 200 2, render', 'drawn']);
  expect(card.seen!.camera.far).toBe(300);
});

it('waits for a graphics process that never answers no longer than two seconds', async () => {
  const { service, heard } = begun();
  service.answer(DRAW);
  await vi.advanceTimersByTimeAsync(2100);
  expect([told(), heard()]).toEqual(['compile 2, render, size 300 200 2, render', 'begun drawn']);
});

it('draws although its programs could not be built beforehand, and says so on the console', async () => {
  const warned = vi.spyOn(console, 'warn').mockImplementation(() => {});
  card.cannotCompile = true;
  const { service, heard } = begun();
  service.answer(DRAW);
  await vi.advanceTimersByTimeAsync(0);
  expect([told(), heard()]).toEqual(['size 300 200 2, render', 'begun drawn']);
  expect(warned).toHaveBeenCalledOnce();
});

it('sees from where it is told to, half the picture to each side', async () => {
  const { service } = await ready();
  service.answer(DRAW);
  const { position, left, right, top, bottom, near, far, projectionMatrix } = card.seen!.camera;
  expect([position.toArray(), left, right, top, bottom, near, far]).toEqual([
    [1, 2, 3],
    -40,
    40,
    30,
    -30,
    0,
    200,
  ]);
  expect(projectionMatrix.elements[0]).toBeCloseTo(1 / 40, 12);
});

it('takes another size with the picture of that size, and no other time', async () => {
  const { service } = await ready();
  service.answer(DRAW);
  service.answer(DRAW);
  service.answer({ ...DRAW, size: { ...DRAW.size, widthPx: 310 } });
  expect(told()).toBe('size 300 200 2, render, render, size 310 200 2, render');
});

it('shows what it is given until that is cleared', async () => {
  const { service, heard } = await ready();
  const floats = (n: number) => new Float32Array(n);
  service.answer({
    kind: 'surface',
    arrays: {
      position: floats(9),
      normal: floats(9),
      shade: floats(3),
      paint: new Uint8Array(12),
      index: Uint32Array.of(0, 1, 2),
    },
  });
  service.answer(DRAW);
  const drawn = () => card.seen!.scene.children[0]!;
  expect(drawn().children).toHaveLength(1);
  const none = { from: floats(0), to: floats(0), slot: floats(0) };
  const run = { starts: new Uint32Array(0), lengths: new Uint32Array(0) };
  const nothing = { ...run, values: floats(0) };
  const values = Float32Array.of(1, 2, 3);
  const patch = {
    position: { starts: Uint32Array.of(3), lengths: Uint32Array.of(3), values },
    normal: nothing,
    shade: nothing,
    paint: { ...run, values: new Uint8Array(0) },
    index: { ...run, values: new Uint32Array(0) },
  };
  service.answer({
    kind: 'labels',
    surface: { change: { kind: 'patch', patch }, outlines: none, present: [11] },
  });
  expect(heard()).toBe('drawn labelled');
  const position = (drawn().children[0] as Mesh).geometry.getAttribute('position').array;
  expect([...position.subarray(0, 6)]).toEqual([0, 0, 0, 1, 2, 3]);
  // What it brought is not kept: a worker that does little else would not clear up for long.
  expect(values).toHaveLength(0);
  const look = { showsRestoration: true, scanColours: false, motions: new Map(), selected: [] };
  service.answer({ kind: 'look', look: { ...look, isVisible: false } });
  expect(drawn().visible).toBe(false);
  service.answer({ kind: 'look', look: { ...look, isVisible: true } });
  expect(drawn().visible).toBe(true);
  service.answer({ kind: 'clear' });
  expect(drawn().children).toHaveLength(0);
});

it('draws a restoration beside the scan, in its own colour, and takes it away alone', async () => {
  const { service } = await ready();
  const arrays = () => ({
    position: new Float32Array(9),
    normal: new Float32Array(9),
    shade: new Float32Array(3),
    paint: new Uint8Array(12),
    index: Uint32Array.of(0, 1, 2),
  });
  const colours = {
    toothA: '#111111',
    toothB: '#222222',
    gum: '#333333',
    outline: '#444444',
    plain: '#555555',
    earlier: '#666666',
    restoration: '#7799aa',
  };
  service.answer({ kind: 'colours', colours });
  service.answer({ kind: 'surface', arrays: arrays() });
  service.answer({ kind: 'restoration', arrays: arrays() });
  service.answer(DRAW);
  const [scan, restoration] = card.seen!.scene.children;
  expect([scan!.children.length, restoration!.children.length]).toEqual([1, 1]);
  const tintOf = (object: typeof scan) => {
    const { uniforms } = (object!.children[0] as Mesh).material as ShaderMaterial;
    return uniforms.uTint!.value.map((tint: Color) => tint.getHexString());
  };
  expect(new Set(tintOf(scan))).toEqual(new Set(['555555']));
  expect(new Set(tintOf(restoration))).toEqual(new Set(['7799aa']));
  // Where its file has it.
  const { uMove } = ((restoration!.children[0] as Mesh).material as ShaderMaterial).uniforms;
  expect(uMove!.value.every((move: Vector4) => move.lengthSq() === 0)).toBe(true);
  // Another theme.
  service.answer({ kind: 'colours', colours: { ...colours, restoration: '#668899' } });
  expect(tintOf(restoration)[0]).toBe('668899');
  const look = { isVisible: true, scanColours: true, motions: new Map(), selected: [] };
  service.answer({ kind: 'look', look: { ...look, showsRestoration: false } });
  expect([scan!.visible, restoration!.visible]).toEqual([true, false]);
  service.answer({ kind: 'look', look: { ...look, showsRestoration: true } });
  expect(restoration!.visible).toBe(true);
  service.answer({ kind: 'restoration', arrays: null });
  expect([scan!.children.length, restoration!.children.length]).toEqual([1, 0]);
});

it('draws nothing once it is disposed of, also where that comes while its programs are built', async () => {
  const { service, heard } = begun();
  service.answer(DRAW);
  service.dispose();
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(2100);
  service.answer(DRAW);
  expect([told(), heard()]).toEqual(['compile 2, dispose', 'begun']);
});

it('draws nothing while the picture is lost, says both, and answers all the same', async () => {
  const { canvas, service, heard } = await ready();
  const lost = new Event('webglcontextlost', { cancelable: true });
  canvas.dispatchEvent(lost);
  // Without that the browser does not give it back.
  expect(lost.defaultPrevented).toBe(true);
  service.answer(DRAW);
  expect([told(), heard()]).toEqual(['', 'lost drawn']);
  canvas.dispatchEvent(new Event('webglcontextrestored'));
  service.answer(DRAW);
  expect([told(), heard()]).toEqual(['size 300 200 2, render', 'restored drawn']);
});

it('answers also where a picture could not be drawn, so that the next one is asked for', async () => {
  const { service, heard } = await ready();
  card.fails = true;
  expect(() => service.answer(DRAW)).toThrow('no memory for it');
  expect(heard()).toBe('drawn');
  card.fails = false;
  service.answer(DRAW);
  expect(heard()).toBe('drawn');
});

it('apart from the page, says that a picture is there when the graphics process has drawn it', async () => {
  const { service, heard } = await ready(true);
  card.isDone = false;
  service.answer(DRAW);
  await vi.advanceTimersByTimeAsync(300);
  expect([told(), heard()]).toEqual(['size 300 200 2, render', '']);
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(2);
  expect(heard()).toBe('drawn');
});

it('apart from the page, answers once also where the picture is lost meanwhile, failed, or is never told of', async () => {
  const { service, heard } = await ready(true);
  card.isDone = false;
  service.answer(DRAW);
  card.isLost = true;
  await vi.advanceTimersByTimeAsync(2);
  expect(heard()).toBe('drawn');
  // No fence is to be had of a context that is gone.
  service.answer(DRAW);
  await vi.advanceTimersByTimeAsync(0);
  expect(heard()).toBe('drawn');
  Object.assign(card, { isLost: false, fails: true });
  expect(() => service.answer(DRAW)).toThrow('no memory for it');
  card.isDone = true;
  await vi.advanceTimersByTimeAsync(2);
  expect(heard()).toBe('drawn');
  Object.assign(card, { fails: false, isDone: false });
  service.answer(DRAW);
  await vi.advanceTimersByTimeAsync(1900);
  expect(heard()).toBe('');
  await vi.advanceTimersByTimeAsync(200);
  expect(heard()).toBe('drawn');
});

it('is none where the browser has no WebGL, and says so', () => {
  card.isMissing = true;
  const { made, heard } = begun();
  expect([made, heard()]).toEqual([false, 'unavailable']);
});
