import { BufferGeometry, type Camera, type Material, Mesh, Scene, WebGLRenderer } from 'three';

/** More device pixels than this per CSS pixel are not seen. */
const MAX_PIXEL_RATIO = 2;

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
  /** Has the programs of materials built, so that the first draw with them does not wait for that. */
  prepare(materials: readonly Material[], camera: Camera): void;
  draw(scene: Scene, camera: Camera): void;
  dispose(): void;
}

/**
 * Puts a canvas under everything else in `host`. The ground shows through: its colour is the style sheet's.
 *
 * @returns null where the browser has no WebGL (three throws from its constructor)
 */
export function makeDrawingSurface(host: HTMLElement, events: DrawingSurfaceEvents): DrawingSurface | null {
  let renderer: WebGLRenderer;
  try {
    renderer = new WebGLRenderer({ antialias: true, alpha: true, powerPreference: 'high-performance' });
  } catch {
    return null;
  }
  renderer.setClearAlpha(0);
  const canvas = renderer.domElement;
  canvas.className = 'scan-view-canvas';
  host.prepend(canvas);
  let lost = false;

  const resize = (): void => {
    const { clientWidth: width, clientHeight: height } = host;
    if (width === 0 || height === 0) return;
    const ratio = Math.min(window.devicePixelRatio, MAX_PIXEL_RATIO);
    renderer.setPixelRatio(ratio);
    renderer.setSize(width, height);
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
    prepare(materials, camera) {
      if (lost) return;
      const scene = new Scene();
      for (const material of materials) scene.add(new Mesh(new BufferGeometry(), material));
      renderer.compile(scene, camera);
    },
    draw(scene, camera) {
      if (!lost) renderer.render(scene, camera);
    },
    dispose() {
      watcher.disconnect();
      canvas.removeEventListener('webglcontextlost', onLost);
      canvas.removeEventListener('webglcontextrestored', onRestored);
      renderer.dispose();
      canvas.remove();
    },
  };
}
