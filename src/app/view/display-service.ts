import { letGo } from '../../geometry/let-go.ts';
import { isShared, shared } from '../../geometry/shared-array.ts';
import type { TriangleMesh } from '../../geometry/types.ts';
import type { ToothMap, ToothNumber } from '../../teeth/types.ts';
import { patchBetween } from './block-patch.ts';
import { coarseLabels, type SimplifiedMesh } from './coarse-labels.ts';
import { creviceShade } from './crevice-shade.ts';
import { gather, slotOf } from './display-mesh.ts';
import type {
  DisplayArrays,
  DisplayReply,
  DisplayRequest,
  LabelledSurface,
  SurfacePatch,
} from './display-messages.ts';
import { drawSurface, roomFor, type SurfaceArrays } from './drawn-surface.ts';
import { buildPickTree } from './pick-tree.ts';
import { scanSight } from './scan-sight.ts';

/**
 * Scans with more triangles than `wholeUpTo` are drawn by a simplified mesh of about `simplifiedTo`: more are not seen
 * on a screen, and the first is what a graphics chip of a plain notebook turns at full frame rate. Measuring and
 * picking stay on the whole scan.
 */
export interface DetailLevels {
  readonly wholeUpTo: number;
  readonly simplifiedTo: number;
}

const DETAIL: DetailLevels = { wholeUpTo: 600_000, simplifiedTo: 400_000 };

export type Simplify = (mesh: TriangleMesh, triangleCount: number) => Promise<SimplifiedMesh>;

/** What is kept of the scan that is shown. */
interface Shown {
  readonly scan: DisplayArrays;
  /** Of the vertices that are drawn (see `creviceShade`). What else they have lies in the scan. */
  readonly shade: Float32Array;
  /** Null when the scan is drawn whole. */
  readonly simplified: SimplifiedMesh | null;
  arrays: SurfaceArrays;
}

/**
 * Does for the view what takes longer than a frame: the surface with its grooves, the pick tree, and the surface
 * under other labels. Requests are answered in turn.
 *
 * @param simplify - null where that cannot be done: every scan is then drawn whole
 */
export function makeDisplayService(
  send: (reply: DisplayReply) => void,
  simplify: Simplify | null,
  detail: DetailLevels = DETAIL,
): (request: DisplayRequest) => Promise<void> {
  let shown: Shown | null = null;
  let turn: Promise<void> = Promise.resolve();

  async function answer(request: DisplayRequest): Promise<void> {
    if (request.kind === 'scan') {
      const { scan } = request;
      send({ kind: 'sight', sight: scanSight(scan) });
      shown = await show(scan, simplify, detail);
      send({ kind: 'surface', arrays: handedOver(shown.arrays) });
      send({ kind: 'tree', tree: buildPickTree(scan) });
    } else if (shown !== null) send({ kind: 'labels', ...relabelled(shown, request.labels) });
  }
  return (request) => {
    turn = turn.then(() => answer(request));
    return turn;
  };
}

async function show(scan: DisplayArrays, simplify: Simplify | null, detail: DetailLevels): Promise<Shown> {
  const simplified =
    simplify !== null && scan.triangles.length / 3 > detail.wholeUpTo
      ? await tried(simplify, scan, detail)
      : null;
  const mesh = simplified === null ? scan : picked(scan, simplified);
  const shade = creviceShade(mesh, mesh.normals);
  const { arrays } = drawSurface({ ...mesh, shade }, null, roomFor(mesh.positions.length / 3));
  letGoPicked(mesh, scan);
  return { scan, shade, simplified, arrays: sharedArrays(arrays) };
}

/** A scan that cannot be simplified is drawn whole: slower, nothing else. */
async function tried(
  simplify: Simplify,
  scan: DisplayArrays,
  detail: DetailLevels,
): Promise<SimplifiedMesh | null> {
  try {
    return await simplify(scan, detail.simplifiedTo);
  } catch (cause) {
    console.warn('The scan is drawn with all its triangles; it could not be simplified.', cause);
    return null;
  }
}

/** The scan's own vertices that remain, with what belongs to them. */
function picked(scan: DisplayArrays, { triangles, source }: SimplifiedMesh): DisplayArrays {
  return {
    positions: gather(scan.positions, 3, source),
    normals: gather(scan.normals, 3, source),
    colors: scan.colors && gather(scan.colors, 3, source),
    triangles,
  };
}

/** They are picked again for the next labels. */
function letGoPicked(mesh: DisplayArrays, scan: DisplayArrays): void {
  if (mesh !== scan) letGo(mesh.positions, mesh.normals, mesh.colors);
}

function relabelled(shown: Shown, labels: ToothMap | null): LabelledSurface {
  const { scan, shade, simplified, arrays: before } = shown;
  const mesh = simplified === null ? scan : picked(scan, simplified);
  const ofDrawn =
    labels === null || simplified === null
      ? labels
      : coarseLabels(simplified, scan.triangles, scan.positions.length / 3, labels);
  const { arrays, outlines } = drawSurface({ ...mesh, shade }, ofDrawn, before.shade.length);
  letGoPicked(mesh, scan);
  if (ofDrawn !== labels) letGo(ofDrawn);
  const present = labels && presentTeeth(labels);
  if (arrays.shade.length !== before.shade.length) {
    shown.arrays = sharedArrays(arrays);
    return { change: { kind: 'whole', arrays: handedOver(shown.arrays) }, outlines, present };
  }
  const patch = patchOf(before, arrays);
  // Where memory is shared, the page changes what lies here as well, before it asks for other labels.
  if (isShared(before.index)) letGo(...Object.values(arrays));
  else shown.arrays = arrays;
  return { change: { kind: 'patch', patch }, outlines, present };
}

function patchOf(before: SurfaceArrays, after: SurfaceArrays): SurfacePatch {
  return {
    position: patchBetween(before.position, after.position),
    normal: patchBetween(before.normal, after.normal),
    shade: patchBetween(before.shade, after.shade),
    paint: patchBetween(before.paint, after.paint),
    index: patchBetween(before.index, after.index),
  };
}

function sharedArrays({ position, normal, shade, paint, index }: SurfaceArrays): SurfaceArrays {
  return {
    position: shared(position),
    normal: shared(normal),
    shade: shared(shade),
    paint: shared(paint),
    index: shared(index),
  };
}

/** What the page gets: the very arrays where they are shared, else copies, as later patches are differences to these. */
function handedOver(arrays: SurfaceArrays): SurfaceArrays {
  const { position, normal, shade, paint, index } = arrays;
  if (isShared(index)) return arrays;
  return {
    position: position.slice(),
    normal: normal.slice(),
    shade: shade.slice(),
    paint: paint.slice(),
    index: index.slice(),
  };
}

function presentTeeth(labels: ToothMap): ToothNumber[] {
  const seen = new Uint8Array(256);
  for (let t = 0; t < labels.length; t++) seen[labels[t]!] = 1;
  return [...seen.keys()].filter((label) => seen[label] === 1 && slotOf(label) !== 0) as ToothNumber[];
}
