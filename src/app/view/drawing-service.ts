import { OrthographicCamera, Scene, WebGLRenderer } from 'three';
import { giveBack } from '../../geometry/give-back.ts';
import { allDone } from './all-done.ts';
import { buildPrograms } from './build-programs.ts';
import type { LabelledSurface } from './display-messages.ts';
import type { CameraState, DrawingEvent, DrawingRequest, PictureSize } from './drawing-messages.ts';
import { makeEarlierLayer } from './earlier-layer.ts';
import { makeSurfaceLayer } from './surface-layer.ts';

/** Time between two looks at whether a picture is there, ms: a quick graphics card draws one in less. */
const LOOK_MS = 2;

/** What is asked of the context; the first who asks decides. */
export const CONTEXT = { antialias: true, alpha: true, powerPreference: 'high-performance' } as const;

/**
 * Where the restoration and the scan are one surface, the restoration is seen and not specks of both; anywhere else, and
 * where one runs through the other, what is nearer.
 */
const NEARER = { polygonOffset: true, polygonOffsetFactor: -1, polygonOffsetUnits: -1 } as const;

export interface DrawingService {
  answer(request: DrawingRequest): void;
  dispose(): void;
}

/**
 * Draws the scan on a canvas, in a worker or on the page. Nothing is drawn until the programs are built: a draw would
 * wait for them. The ground shows through: its colour is the style sheet's.
 *
 * @param canvas - of the page, or one that the page has handed over
 * @param isApart - a worker draws: a picture counts as there when the graphics process has drawn it. Of a canvas of the
 *   page what is drawn and the words over it come onto the screen together, whenever that is
 * @returns null where the browser has no WebGL (three throws from its constructor); `tell` has been told
 */
export function makeDrawingService(
  canvas: HTMLCanvasElement | OffscreenCanvas,
  tell: (event: DrawingEvent) => void,
  isApart: boolean,
): DrawingService | null {
  let renderer: WebGLRenderer;
  try {
    renderer = new WebGLRenderer({ canvas, ...CONTEXT });
  } catch {
    tell({ kind: 'unavailable' });
    return null;
  }
  renderer.setClearAlpha(0);
  const scene = new Scene();
  const surface = makeSurfaceLayer();
  const restoration = makeSurfaceLayer();
  for (const material of restoration.materials) Object.assign(material, NEARER);
  const earlier = makeEarlierLayer();
  scene.add(surface.object, restoration.object, earlier.object);
  const camera = new OrthographicCamera();
  let size: PictureSize | null = null;
  let lost = false;
  let prepared = false;
  let disposed = false;
  /** The picture that was asked for before there was anything to draw it with. */
  let waiting: Extract<DrawingRequest, { kind: 'draw' }> | null = null;

  const draw = (state: CameraState, wanted: PictureSize): void => {
    if (lost) return;
    if (!sameSize(size, wanted)) {
      size = wanted;
      const { widthPx, heightPx, pixelRatio } = wanted;
      // All at once: each of the renderer's other ways makes the picture anew.
      renderer.setDrawingBufferSize(widthPx, heightPx, pixelRatio);
      surface.setPixels(widthPx * pixelRatio, heightPx * pixelRatio, pixelRatio);
    }
    place(camera, state);
    renderer.render(scene, camera);
  };
  const tellDrawn = (): void => tell({ kind: 'drawn' });
  const answerDraw = ({ camera: state, size: wanted }: Extract<DrawingRequest, { kind: 'draw' }>): void => {
    try {
      draw(state, wanted);
    } finally {
      // Also where it failed: no other picture is asked for before.
      if (isApart) void allDone(renderer.getContext() as WebGL2RenderingContext, LOOK_MS).then(tellDrawn);
      else tellDrawn();
    }
  };
  const prepare = async (): Promise<void> => {
    try {
      await buildPrograms(renderer, surface.materials, camera, () => lost || disposed);
    } catch (cause) {
      // The first picture does what it could not.
      console.warn('The programs that draw the scan could not be built beforehand.', cause);
    }
    prepared = true;
    const first = waiting;
    waiting = null;
    if (first !== null && !disposed) answerDraw(first);
  };
  const onLost = (event: Event): void => {
    // Without this the browser does not give the picture back.
    event.preventDefault();
    lost = true;
    tell({ kind: 'lost' });
  };
  const onRestored = (): void => {
    lost = false;
    tell({ kind: 'restored' });
  };
  canvas.addEventListener('webglcontextlost', onLost);
  canvas.addEventListener('webglcontextrestored', onRestored);
  tell({ kind: 'begun' });
  void prepare();

  return {
    answer(request) {
      if (disposed) return;
      switch (request.kind) {
        case 'colours':
          surface.setColours(request.colours);
          restoration.setColours({ ...request.colours, plain: request.colours.restoration });
          earlier.setColour(request.colours.earlier);
          break;
        case 'clear':
          surface.clear();
          break;
        case 'surface':
          surface.setSurface(request.arrays);
          break;
        case 'labels':
          surface.setLabelled(request.surface);
          giveBackPatch(request.surface.change);
          tell({ kind: 'labelled' });
          break;
        case 'look':
          surface.setScanColours(request.look.scanColours);
          surface.setMotions(request.look.motions);
          surface.setSelected(request.look.selected);
          surface.object.visible = request.look.isVisible;
          restoration.object.visible = request.look.showsRestoration;
          break;
        case 'restoration':
          if (request.arrays === null) restoration.clear();
          else restoration.setSurface(request.arrays);
          break;
        case 'earlier':
          earlier.set(request.earlier);
          break;
        case 'draw':
          if (prepared) answerDraw(request);
          else waiting = request;
      }
    },
    dispose() {
      disposed = true;
      canvas.removeEventListener('webglcontextlost', onLost);
      canvas.removeEventListener('webglcontextrestored', onRestored);
      surface.dispose();
      restoration.dispose();
      earlier.dispose();
      renderer.dispose();
    },
  };
}

/** A worker that does little else would not clear up for long what every labelling brings. */
function giveBackPatch(change: LabelledSurface['change']): void {
  if (change.kind === 'patch') for (const { values } of Object.values(change.patch)) giveBack(values);
}

function place(camera: OrthographicCamera, state: CameraState): void {
  camera.position.set(...state.position);
  camera.quaternion.set(...state.rotation);
  camera.near = 0;
  camera.far = state.farMm;
  camera.top = state.halfHeightMm;
  camera.bottom = -state.halfHeightMm;
  camera.right = state.halfWidthMm;
  camera.left = -state.halfWidthMm;
  camera.updateProjectionMatrix();
  camera.updateMatrixWorld();
}

function sameSize(a: PictureSize | null, b: PictureSize): boolean {
  return a?.widthPx === b.widthPx && a.heightPx === b.heightPx && a.pixelRatio === b.pixelRatio;
}
