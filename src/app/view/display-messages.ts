import type { TriangleMesh, Vec3 } from '../../geometry/types.ts';
import type { ToothMap, ToothNumber } from '../../teeth/types.ts';
import type { BlockPatch } from './block-patch.ts';
import type { Sight } from './camera-pose.ts';
import type { OutlineArrays, SurfaceArrays } from './drawn-surface.ts';
import type { PickTree } from './pick-tree.ts';

/**
 * What the page and the display worker say to each other. The arrays of scan and surface are shared where the browser
 * allows it and copied elsewhere; of the surface only the page writes to them. What else comes back is transferred.
 */

export interface DisplayArrays extends TriangleMesh {
  /** (n x 3) unit. */
  readonly normals: Float32Array;
  /** (n x 3) RGB 0-255, or null. */
  readonly colors: Uint8Array | null;
}

export type DisplayRequest =
  | { readonly kind: 'scan'; readonly scan: DisplayArrays }
  /** Answered by exactly one `labels`. */
  | { readonly kind: 'labels'; readonly labels: ToothMap | null };

/** What changes in the arrays of the surface that is drawn. */
export type SurfacePatch = { readonly [K in keyof SurfaceArrays]: BlockPatch<SurfaceArrays[K]> };

/** The surface after other labels: the changed blocks, or all of it where the room for doubled vertices is used up. */
export interface LabelledSurface {
  readonly change:
    | { readonly kind: 'patch'; readonly patch: SurfacePatch }
    | { readonly kind: 'whole'; readonly arrays: SurfaceArrays };
  readonly outlines: OutlineArrays;
  /** Teeth that bear at least one triangle; null before the teeth are known. */
  readonly present: readonly ToothNumber[] | null;
}

/** What the whole scan is looked at by, before it can be drawn. */
export interface ScanSight {
  /** (k x 3) mm: vertices by which it is fitted into the view. */
  readonly points: Float32Array;
  /** A sphere around it. */
  readonly centre: Vec3;
  readonly radiusMm: number;
  /** From above, guessed while no tooth is known; null when the scan does not tell. */
  readonly guess: Sight | null;
}

export type DisplayReply =
  | { readonly kind: 'sight'; readonly sight: ScanSight }
  | { readonly kind: 'surface'; readonly arrays: SurfaceArrays }
  | { readonly kind: 'tree'; readonly tree: PickTree }
  | ({ readonly kind: 'labels' } & LabelledSurface);

/** The buffers of a reply that go over to whoever gets it. */
export function ownedBuffers(reply: DisplayReply): Transferable[] {
  const arrays: ArrayBufferView[] = [];
  if (reply.kind === 'tree') return [...reply.tree.roots, reply.tree.indirect.buffer as ArrayBuffer];
  if (reply.kind === 'sight') arrays.push(reply.sight.points);
  else if (reply.kind === 'surface') arrays.push(...Object.values(reply.arrays));
  else {
    const { change, outlines } = reply;
    arrays.push(...Object.values(outlines));
    if (change.kind === 'whole') arrays.push(...Object.values(change.arrays));
    else
      for (const { starts, lengths, values } of Object.values(change.patch))
        arrays.push(starts, lengths, values);
  }
  return arrays.map(({ buffer }) => buffer).filter((buffer) => buffer instanceof ArrayBuffer);
}
