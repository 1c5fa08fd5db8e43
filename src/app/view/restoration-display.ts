import type { RestorationOverlay } from '../kernel/display-types.ts';
import { type Display, openDisplay } from './display-client.ts';
import type { SurfaceArrays } from './drawn-surface.ts';

/** The restoration over the scan, on the side of the page. */
export interface RestorationDisplay {
  /** Null = none. */
  set(restoration: RestorationOverlay | null): void;
  stop(): void;
}

/**
 * Has the surface of a restoration prepared as that of a scan is, a heavy one with fewer triangles. It has no labels and
 * is never picked, so the worker that prepares it ends as soon as the surface is there.
 *
 * @param show - takes the arrays over; null = what was shown is to be taken away
 */
export function makeRestorationDisplay(show: (arrays: SurfaceArrays | null) => void): RestorationDisplay {
  let shown: RestorationOverlay | null = null;
  let display: Display | null = null;
  const stop = (): void => {
    display?.stop();
    display = null;
  };
  return {
    set(restoration) {
      if (restoration === shown) return;
      stop();
      if (shown !== null) show(null);
      shown = restoration;
      if (restoration === null) return;
      const { positions, normals, triangles } = restoration;
      display = openDisplay({ positions, normals, triangles, colors: null }, (reply) => {
        if (reply.kind === 'surface') {
          stop();
          show(reply.arrays);
        }
        return null;
      });
    },
    stop,
  };
}
