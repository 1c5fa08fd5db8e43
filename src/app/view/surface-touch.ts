import type { Vec3 } from '../../geometry/types.ts';
import type { StrokePiece } from '../kernel/display-types.ts';
import { makePaintStroke } from './paint-stroke.ts';
import type { Picker, SurfaceHit } from './picker.ts';
import type { ViewCamera } from './view-camera.ts';
import type { ViewContent } from './view-content.ts';

/** Where the earlier scan is faded in by more than this, the scan is not clicked or painted. */
const MOST_PICKED_SHARE = 0.5;

/** Why a click met nothing: beside the scan; the crowns stand elsewhere; the earlier scan is what one sees. */
export type MissReason = 'beside' | 'simulated' | 'earlier';

export interface TouchSources {
  readonly eye: ViewCamera;
  content(): ViewContent | null;
  /** Crowns stand where the stages take them. */
  isSimulated(): boolean;
  pick(hit: SurfaceHit): void;
  paint(piece: StrokePiece): void;
  missed(reason: MissReason): void;
}

/** What a pointer or a key does to the surface of the scan. Places are CSS px of the view. */
export interface SurfaceTouch {
  /** What lies there; null over the ground, and where the scan is not to be touched. */
  hitAt(x: number, y: number): SurfaceHit | null;
  /** A click, or the begin of a stroke, as the mode of the view has it. */
  pickAt(x: number, y: number): void;
  paint(x: number, y: number, begins: boolean): void;
  /** False when the scan (crowns unmoved) hides the point; hits within `grace` mm of it do not count. */
  visible(point: Vec3, grace: number): boolean;
  /** The pick tree of the scan is there; clicks that were made before count now. Null: another scan comes. */
  setPicker(picker: Picker | null): void;
}

export function makeSurfaceTouch({ eye, content, isSimulated, ...actions }: TouchSources): SurfaceTouch {
  let picker: Picker | null = null;
  /** Clicks made while the pick tree is still being built: they count as soon as it is there. */
  const earlyClicks: { readonly origin: Vec3; readonly direction: Vec3 }[] = [];

  /** Moved crowns are not where the scan has them, and who sees the earlier scan would hit the new one. */
  const untouchable = (): MissReason | null => {
    if (isSimulated()) return 'simulated';
    return (content()?.earlier?.share ?? 0) > MOST_PICKED_SHARE ? 'earlier' : null;
  };
  const hitAt = (x: number, y: number): SurfaceHit | null => {
    if (picker === null || untouchable() !== null) return null;
    const { origin, direction } = eye.rayAt(x, y);
    return picker.hit(origin, direction);
  };
  const pick = (hit: SurfaceHit | null): void => {
    if (hit === null) actions.missed(untouchable() ?? 'beside');
    else actions.pick(hit);
  };
  const paint = makePaintStroke({
    hitAt,
    pxPerMm: () => 1 / eye.mmPerPx(),
    labels: () => content()?.labels ?? null,
    paint: actions.paint,
  });

  return {
    hitAt,
    paint,
    pickAt(x, y) {
      if (content()?.mode === 'paint') {
        if (picker !== null && hitAt(x, y) === null) actions.missed(untouchable() ?? 'beside');
        else paint(x, y, true);
        return;
      }
      if (picker === null) {
        earlyClicks.push(eye.rayAt(x, y));
        return;
      }
      pick(hitAt(x, y));
    },
    visible: (point, grace) => picker === null || picker.hit(point, eye.towardsEye(), grace) === null,
    setPicker(next) {
      picker = next;
      const early = earlyClicks.splice(0);
      if (next === null) return;
      for (const { origin, direction } of early) pick(next.hit(origin, direction));
    },
  };
}
