import { BufferGeometry, type Camera, type Material, Mesh, Scene, WebGLRenderer } from 'three';

/** More device pixels than this per CSS pixel are not seen. */
const MAX_PIXEL_RATIO = 2;

const pixelRatio = (): number => Math.min(window.devicePixelRatio, MAX_PIXEL_RATIO);

export interface DrawingSurfaceEvents {
  /** CSS size and device pixels per CSS pixel; called at once and after every change. */
  resized(width: number, height: number, pixelRatio: number): void;
  /** The graphics card took the picture away ... */
  lost(): void;
  /** ... and gave it back; three has set itself up again. */
  restored(): void;
}

/** A canvas that fills its host, and what it takes to draw on it. */
export interface DrawingSurface {
  readonly canvas: HTMLCanvasElement;
  /**
   * Has the programs of materials built beside the page's thread, so that no draw waits for them: until then nothing
   * is drawn.
   */
  prepare(materials: readonly Material[], camera: Camera): Promise<void>;
  draw(scene: Scene, camera: Camera): void;
  dispose(): void;
}

/** What is asked of the context; the first who asks decides. */
const CONTEXT = { antialias: true, alpha: true, powerPreference: 'high-performance' } as const;

/**
 * A canvas as large as `host` with its context. The page's thread waits for the graphics process meanwhile, so whoever
 * draws with it is better made in a task of its own.
 */
export function makeDrawingCanvas(host: HTMLElement): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  canvas.className = 'scan-view-canvas';
  // It has its size before its context: the page would wait for a context that changes while it sets itself up.
  canvas.width = Math.floor(host.clientWidth * pixelRatio()) || 1;
  canvas.height = Math.floor(host.clientHeight * pixelRatio()) || 1;
  canvas.getContext('webgl2', CONTEXT);
  return canvas;
}

/**
 * Puts a canvas under everything else in `host`. The ground shows through: its colour is the style sheet's.
 *
 * @returns null where the browser has no WebGL (three throws from its constructor)
 */
export function makeDrawingSurface(
  host: HTMLElement,
  canvas: HTMLCanvasElement,
  events: DrawingSurfaceEvents,
): DrawingSurface | null {
  let renderer: WebGLRenderer;
  try {
    renderer = new WebGLRenderer({ canvas, ...CONTEXT });
  } catch {
    return null;
  }
  renderer.setClearAlpha(0);
  // Each frame that shows it is read back where there is no graphics card, also while it is empty.
  canvas.style.visibility = 'hidden';
  host.prepend(canvas);
  let lost = false;
  let prepared = false;
  let disposed = false;

  const resize = (): void => {
    const { clientWidth: width, clientHeight: height } = host;
    if (width === 0 || height === 0) return;
    const ratio = pixelRatio();
    // All at once: each of the renderer's other ways makes the picture anew.
    renderer.setDrawingBufferSize(width, height, ratio);
    canvas.style.width = `${width}px`;
    canvas.style.height = `${height}px`;
    events.resized(width, height, ratio);
  };
  const watcher = new ResizeObserver(resize);
  watcher.observe(host);
  const onLost = (event: Event): void => {
    // Without this the browser does not give the picture back.
    event.preventDefault();
    lost = true;
    events.lost();
  };
  const onRestored = (): void => {
    lost = false;
    events.restored();
  };
  canvas.addEventListener('webglcontextlost', onLost);
  canvas.addEventListener('webglcontextrestored', onRestored);

  return {
    canvas,
    async prepare(materials, camera) {
      const scene = new Scene();
      for (const material of materials) {
        const nothing = new Mesh(new BufferGeometry(), material);
        nothing.frustumCulled = false;
        scene.add(nothing);
      }
      try {
        if (!lost && !disposed) {
          renderer.compile(scene, camera);
          await allDone(renderer.getContext() as WebGL2RenderingContext);
        }
      } finally {
        prepared = true;
      }
      // What the renderer asks of a program when it is first used is answered now, not with the scan's first picture.
      if (!lost && !disposed) renderer.render(scene, camera);
    },
    draw(scene, camera) {
      if (!prepared || lost || disposed) return;
      renderer.render(scene, camera);
      canvas.style.visibility = '';
    },
    dispose() {
      disposed = true;
      watcher.disconnect();
      canvas.removeEventListener('webglcontextlost', onLost);
      canvas.removeEventListener('webglcontextrestored', onRestored);
      renderer.dispose();
      canvas.remove();
    },
  };
}

/** Time between two looks at whether the graphics process is done, and the most of it that is waited, ms. */
const LOOK_MS = 10;
const MOST_WAIT_MS = 2000;

/** Resolves when all that was asked of the graphics process is done, without the page's thread standing still for it. */
async function allDone(gl: WebGL2RenderingContext): Promise<void> {
  const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  // Lost again.
  if (fence === null) return;
  gl.flush();
  for (let waited = 0; waited < MOST_WAIT_MS; waited += LOOK_MS) {
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
    if (gl.isContextLost() || gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.SIGNALED) break;
  }
  gl.deleteSync(fence);
}
