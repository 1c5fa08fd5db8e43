import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { DrawingNews } from '../../../src/app/view/drawing-client.ts';
import type { DrawingRequest } from '../../../src/app/view/drawing-messages.ts';
import { makePicture } from '../../../src/app/view/picture.ts';
import { rotationAbout } from '../../../src/geometry/rigid.ts';

/** In place of who draws: what it was asked, and how it answers. */
const drawing = vi.hoisted(() => ({
  asked: [] as DrawingRequest[],
  hear: (_: DrawingNews): void => {},
  isDisposed: false,
}));
vi.mock(import('../../../src/app/view/drawing-client.ts'), async (original) => ({
  ...(await original()),
  openDrawing(_host, _by, hear) {
    drawing.hear = hear;
    return {
      canvas: document.createElement('canvas'),
      ask: (request) => void drawing.asked.push(request),
      dispose: () => {
        drawing.isDisposed = true;
      },
    };
  },
}));

let resize = (): void => {};
beforeEach(() => {
  Object.assign(drawing, { asked: [], isDisposed: false });
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
  vi.unstubAllGlobals();
});

function made(widthPx = 300) {
  const host = document.createElement('div');
  Object.defineProperties(host, { clientWidth: { value: widthPx }, clientHeight: { value: 200 } });
  const events = { resized: vi.fn(), heard: vi.fn() };
  return { picture: makePicture(host, 'page', events), events };
}

it('asks for pictures as large as its host, in at most two device pixels per CSS pixel', () => {
  vi.stubGlobal('devicePixelRatio', 3);
  const { picture, events } = made();
  resize();
  expect(events.resized).toHaveBeenCalledWith(300, 200);
  const camera = {
    position: [0, 0, 9],
    rotation: [0, 0, 0, 1],
    halfWidthMm: 3,
    halfHeightMm: 2,
    farMm: 20,
  } as const;
  picture.draw(camera);
  const size = { widthPx: 300, heightPx: 200, pixelRatio: 2 };
  expect(drawing.asked).toEqual([{ kind: 'draw', camera, size }]);
  const folded = made(0);
  resize();
  expect(folded.events.resized).not.toHaveBeenCalled();
  folded.picture.draw(camera);
  expect(drawing.asked[1]).toMatchObject({ size: { widthPx: 1, heightPx: 200 } });
});

it('hands an earlier scan over once, and takes it away once', () => {
  const { picture } = made();
  const display = {
    scanId: 'a',
    positions: new Float32Array(9),
    normals: new Float32Array(9),
    triangles: Uint32Array.of(0, 1, 2),
    colors: null,
  };
  const motion = rotationAbout([0, 0, 0], [0, 0, 1], 0.1, [0, 0, 0]);
  picture.setEarlier(null);
  picture.setEarlier({ display, motion, share: 0.2 });
  picture.setEarlier({ display, motion, share: 0.4 });
  picture.setEarlier(null);
  picture.setEarlier(null);
  picture.setEarlier({ display, motion, share: 0.4 });
  const told = drawing.asked.map((one) =>
    one.kind === 'earlier' ? [one.earlier?.share ?? null, one.earlier?.scan?.triangles.length ?? null] : one,
  );
  expect(told).toEqual([
    [0.2, 3],
    [0.4, null],
    [null, null],
    [0.4, 3],
  ]);
});

it('says of every labelling when the surface bears it, in turn', async () => {
  const { picture, events } = made();
  const none = new Float32Array(0);
  const surface = {
    change: {
      kind: 'whole',
      arrays: {
        position: none,
        normal: none,
        shade: none,
        paint: new Uint8Array(0),
        index: new Uint32Array(0),
      },
    },
    outlines: { from: none, to: none, slot: none },
    present: null,
  } as const;
  const borne: string[] = [];
  void picture.setLabelled(surface).then(() => borne.push('first'));
  void picture.setLabelled(surface).then(() => borne.push('second'));
  await Promise.resolve();
  expect(borne).toEqual([]);
  drawing.hear({ kind: 'labelled' });
  await vi.waitFor(() => expect(borne).toEqual(['first']));
  drawing.hear({ kind: 'labelled' });
  await vi.waitFor(() => expect(borne).toEqual(['first', 'second']));
  drawing.hear({ kind: 'lost' });
  expect(events.heard.mock.calls).toEqual([[{ kind: 'lost' }]]);
});
