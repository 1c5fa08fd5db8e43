import type { RigidMotion } from '../../geometry/rigid.ts';
import type { TriangleMesh, Vec3 } from '../../geometry/types.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import { type LabelledSurface, ownedBuffers } from './display-messages.ts';
import type { SurfaceArrays } from './drawn-surface.ts';
import type { CrownMotion } from './tooth-motion.ts';

/**
 * What the page and whoever draws for it say to each other: a worker, or the page itself where browsers let no worker
 * draw. Arrays of scan and surface are shared where the browser allows it and copied elsewhere.
 */

/** Colours of the view as the page's style sheet gives them. */
export interface ViewColours {
  readonly toothA: string;
  readonly toothB: string;
  readonly gum: string;
  readonly outline: string;
  /** A scan whose teeth are not known yet. */
  readonly plain: string;
  /** A scan of an earlier day that is laid over this one. */
  readonly earlier: string;
  /** A restoration in its place on the scan. */
  readonly restoration: string;
}

/** Where the orthographic camera stands, scan frame, mm. */
export interface CameraState {
  readonly position: Vec3;
  /** Unit quaternion (x, y, z, w). */
  readonly rotation: readonly [number, number, number, number];
  readonly halfWidthMm: number;
  readonly halfHeightMm: number;
  /** From the camera to what it sees last; it sees from where it stands. */
  readonly farMm: number;
}

/** CSS pixels of the view, and device pixels for each of them. */
export interface PictureSize {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly pixelRatio: number;
}

/** An earlier scan over the one that is shown. */
export interface EarlierShown {
  readonly scanId: string;
  /** Null where this scan is shown already. */
  readonly scan: EarlierArrays | null;
  /** Its own frame to that of the scan shown. */
  readonly motion: RigidMotion;
  /** 0 = not seen, 1 = alone. */
  readonly share: number;
}

interface EarlierArrays extends TriangleMesh {
  /** (n x 3) unit. */
  readonly normals: Float32Array;
}

/** How the surface looks, besides its labels. */
export interface SurfaceLook {
  readonly isVisible: boolean;
  /** The restoration is drawn, where there is one. */
  readonly showsRestoration: boolean;
  readonly scanColours: boolean;
  /** Crowns that do not stand where they were scanned. */
  readonly motions: ReadonlyMap<ToothNumber, CrownMotion>;
  /** Teeth beside the selected contact. */
  readonly selected: readonly ToothNumber[];
}

export type DrawingRequest =
  | { readonly kind: 'colours'; readonly colours: ViewColours }
  /** Shows no scan until the next surface is there. */
  | { readonly kind: 'clear' }
  | { readonly kind: 'surface'; readonly arrays: SurfaceArrays }
  /** Answered by exactly one `labelled`. */
  | { readonly kind: 'labels'; readonly surface: LabelledSurface }
  | { readonly kind: 'look'; readonly look: SurfaceLook }
  | { readonly kind: 'earlier'; readonly earlier: EarlierShown | null }
  /** Null: there is none any more. */
  | { readonly kind: 'restoration'; readonly arrays: SurfaceArrays | null }
  /** Answered by exactly one `drawn`, once the programs are built. */
  | { readonly kind: 'draw'; readonly camera: CameraState; readonly size: PictureSize };

export type DrawingEvent =
  /** There is something to draw with ... */
  | { readonly kind: 'begun' }
  /** ... or there is not; nothing else is said then. */
  | { readonly kind: 'unavailable' }
  /** The arrays of the surface bear the labels now. */
  | { readonly kind: 'labelled' }
  /**
   * The picture that was asked for is there: drawn by the graphics process where a worker draws, given to it where the
   * page does. Or it cannot be drawn while the graphics card has taken it away.
   */
  | { readonly kind: 'drawn' }
  /** The graphics card took the picture away ... */
  | { readonly kind: 'lost' }
  /** ... and gave it back; three has set itself up again. */
  | { readonly kind: 'restored' };

/** What the worker that draws gets before anything else: the canvas it draws on. */
export interface DrawingBegin {
  readonly kind: 'begin';
  readonly canvas: OffscreenCanvas;
}

/** The buffers of a request that go over to whoever draws. */
export function buffersOf(request: DrawingRequest): Transferable[] {
  if (request.kind === 'surface') return ownedBuffers({ kind: 'surface', arrays: request.arrays });
  if (request.kind === 'restoration')
    return request.arrays === null ? [] : ownedBuffers({ kind: 'surface', arrays: request.arrays });
  if (request.kind === 'labels') return ownedBuffers({ kind: 'labels', ...request.surface });
  return [];
}
