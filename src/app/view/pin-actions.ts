import type { Vec3 } from '../../geometry/types.ts';
import type { OverlayActions } from './overlay-types.ts';
import type { SurfaceHit } from './picker.ts';

/** What the view tells about where pins are, and does with them. */
interface PinContext {
  readonly canvas: HTMLCanvasElement;
  hitAt(x: number, y: number): SurfaceHit | null;
  preview(pin: { readonly index: number; readonly point: Vec3 } | null): void;
  /** Where the pin is on the screen; null when there is no such click. */
  placeOf(index: number): { readonly x: number; readonly y: number } | null;
  moveClick(index: number, point: Vec3): void;
}

/** Pins slide over the surface; dropped beside it they stay at the last place that was on it. */
export function pinActions(
  context: PinContext,
): Pick<OverlayActions, 'dragPin' | 'dropPin' | 'cancelDrag' | 'nudgePin'> {
  let dragged: { readonly index: number; readonly point: Vec3 } | null = null;
  const end = (): void => {
    dragged = null;
    context.preview(null);
  };
  return {
    dragPin(index, clientX, clientY) {
      const box = context.canvas.getBoundingClientRect();
      const hit = context.hitAt(clientX - box.left, clientY - box.top);
      if (hit === null) return;
      dragged = { index, point: hit.point };
      context.preview(dragged);
    },
    dropPin() {
      const drop = dragged;
      end();
      if (drop !== null) context.moveClick(drop.index, drop.point);
    },
    cancelDrag: end,
    nudgePin(index, dx, dy) {
      const at = context.placeOf(index);
      const hit = at === null ? null : context.hitAt(at.x + dx, at.y + dy);
      if (hit !== null) context.moveClick(index, hit.point);
    },
  };
}
