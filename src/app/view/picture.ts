import type { EarlierOverlay } from '../kernel/display-types.ts';
import type { LabelledSurface } from './display-messages.ts';
import { type DrawingNews, type DrawnBy, openDrawing } from './drawing-client.ts';
import type { CameraState, SurfaceLook, ViewColours } from './drawing-messages.ts';
import type { SurfaceArrays } from './drawn-surface.ts';

/** More device pixels than this per CSS pixel are not seen. */
const MAX_PIXEL_RATIO = 2;

export interface PictureEvents {
  /** CSS size; called at once and after every change. */
  resized(widthPx: number, heightPx: number): void;
  heard(news: Exclude<DrawingNews, { kind: 'labelled' }>): void;
}

/** The picture of the scan in its host, drawn elsewhere: what it shows, and from where. */
export interface Picture {
  readonly canvas: HTMLCanvasElement;
  setColours(colours: ViewColours): void;
  /** Shows no scan until the next surface is there. */
  clear(): void;
  /** Takes the arrays over. */
  setSurface(arrays: SurfaceArrays): void;
  /** The same surface under other labels. Resolves once its arrays bear them. */
  setLabelled(surface: LabelledSurface): Promise<void>;
  setLook(look: SurfaceLook): void;
  setEarlier(earlier: EarlierOverlay | null): void;
  /** Takes the arrays over; null = no restoration. */
  setRestoration(arrays: SurfaceArrays | null): void;
  draw(camera: CameraState): void;
  dispose(): void;
}

export function makePicture(host: HTMLElement, by: DrawnBy, events: PictureEvents): Picture {
  const drawing = openDrawing(host, by, (news) => {
    if (news.kind === 'labelled') labelled.shift()?.();
    else events.heard(news);
  });
  /** Who waits for labels to be borne, in turn. */
  const labelled: (() => void)[] = [];
  let earlierShown: string | null = null;
  const watcher = new ResizeObserver(() => {
    const { clientWidth, clientHeight } = host;
    if (clientWidth > 0 && clientHeight > 0) events.resized(clientWidth, clientHeight);
  });
  watcher.observe(host);

  return {
    canvas: drawing.canvas,
    setColours: (colours) => drawing.ask({ kind: 'colours', colours }),
    clear: () => drawing.ask({ kind: 'clear' }),
    setSurface: (arrays) => drawing.ask({ kind: 'surface', arrays }),
    setLabelled(surface) {
      return new Promise((resolve) => {
        labelled.push(resolve);
        drawing.ask({ kind: 'labels', surface });
      });
    },
    setLook: (look) => drawing.ask({ kind: 'look', look }),
    setEarlier(overlay) {
      const scanId = overlay?.display.scanId ?? null;
      if (overlay === null && earlierShown === null) return;
      if (overlay === null) drawing.ask({ kind: 'earlier', earlier: null });
      else {
        const { display, motion, share } = overlay;
        const { positions, normals, triangles } = display;
        const scan = scanId === earlierShown ? null : { positions, normals, triangles };
        drawing.ask({ kind: 'earlier', earlier: { scanId: display.scanId, scan, motion, share } });
      }
      earlierShown = scanId;
    },
    setRestoration: (arrays) => drawing.ask({ kind: 'restoration', arrays }),
    draw(camera) {
      // A host that is not shown has no size, but a picture must have one.
      const [widthPx, heightPx] = [Math.max(1, host.clientWidth), Math.max(1, host.clientHeight)];
      const pixelRatio = Math.min(window.devicePixelRatio, MAX_PIXEL_RATIO);
      drawing.ask({ kind: 'draw', camera, size: { widthPx, heightPx, pixelRatio } });
    },
    dispose() {
      watcher.disconnect();
      drawing.dispose();
    },
  };
}
