import { letGo } from '../../geometry/let-go.ts';
import type { TriangleMesh } from '../../geometry/types.ts';
import type { ToothMap } from '../../teeth/types.ts';
import { type BorderLine, borderLines, borderSegments } from './border-lines.ts';
import { type SplitMesh, slotOf, splitByLabel, spread } from './display-mesh.ts';

/** The mesh that is drawn: the scan itself, or a simplified one of a heavy scan. */
export interface DrawnMesh extends TriangleMesh {
  /** (n x 3) unit. */
  readonly normals: Float32Array;
  /** (n x 3) RGB 0-255, or null. */
  readonly colors: Uint8Array | null;
  /** (n) see `creviceShade`. */
  readonly shade: Float32Array;
}

/** What the graphics card gets of a surface. Vertices beyond those in use are never named by the index. */
export interface SurfaceArrays {
  readonly position: Float32Array;
  readonly normal: Float32Array;
  readonly shade: Float32Array;
  /** Four bytes per vertex: colour of the scan (white when it has none), shader place of the label. */
  readonly paint: Uint8Array;
  readonly index: Uint32Array;
}

/** The outlines of the teeth in straight pieces: (s x 3) ends and (s) shader place of the tooth each moves with. */
export interface OutlineArrays {
  readonly from: Float32Array;
  readonly to: Float32Array;
  readonly slot: Float32Array;
}

/** A surface that was cut along its label borders, ready to be drawn. */
interface DrawnSurface {
  readonly arrays: SurfaceArrays;
  readonly outlines: OutlineArrays;
}

/** Room for vertices that are doubled along borders, as a share of all, and at least. */
const SPARE_SHARE = 0.06;
const LEAST_SPARE = 2048;

/** Vertices that the arrays of a mesh are made for, so that other labels change their contents, not their length. */
export function roomFor(vertexCount: number): number {
  return vertexCount + Math.max(LEAST_SPARE, Math.ceil(SPARE_SHARE * vertexCount));
}

/**
 * Cuts the mesh along its label borders and slides the border vertices onto smoothed lines.
 *
 * @param labels - per triangle of `mesh`; null before the teeth are known
 * @param room - vertices the arrays are made for; more where they do not suffice
 */
export function drawSurface(mesh: DrawnMesh, labels: ToothMap | null, room: number): DrawnSurface {
  const vertexCount = mesh.positions.length / 3;
  const split = labels === null ? null : splitByLabel(mesh.triangles, vertexCount, labels);
  const lines = split === null || labels === null ? [] : borderLines(mesh, labels, split.shared);
  const used = split?.source.length ?? vertexCount;
  const length = used <= room ? room : roomFor(used);
  const placed = (values: Float32Array, width: number): Float32Array =>
    split === null ? padded(values, width * length) : spread(values, width, split, length);
  const settledPositions = settled(mesh.positions, lines);
  const position = placed(settledPositions, 3);
  if (settledPositions !== mesh.positions) letGo(settledPositions);
  const arrays = {
    position,
    normal: placed(mesh.normals, 3),
    shade: placed(mesh.shade, 1),
    paint: paintOf(mesh.colors, split, used, length),
    index: split?.index ?? mesh.triangles.slice(),
  };
  if (split !== null) letGo(split.source, split.label, split.shared);
  return { arrays, outlines: outlinesOf(lines) };
}

function padded(values: Float32Array, length: number): Float32Array {
  const out = new Float32Array(length);
  out.set(values);
  return out;
}

/** The positions with border vertices slid onto their smoothed lines. For drawing only. */
function settled(positions: Float32Array, lines: readonly BorderLine[]): Float32Array {
  if (lines.length === 0) return positions;
  const moved = positions.slice();
  for (const { vertices, onSurface } of lines) {
    for (let i = 0; i < vertices.length; i++) {
      const to = 3 * vertices[i]!;
      for (let k = 0; k < 3; k++) moved[to + k] = onSurface[3 * i + k]!;
    }
  }
  return moved;
}

function paintOf(
  colors: Uint8Array | null,
  split: SplitMesh | null,
  used: number,
  length: number,
): Uint8Array {
  const paint = new Uint8Array(4 * length).fill(255);
  for (let i = 0; i < used; i++) {
    if (colors !== null) {
      const from = 3 * (split === null ? i : split.source[i]!);
      paint[4 * i] = colors[from]!;
      paint[4 * i + 1] = colors[from + 1]!;
      paint[4 * i + 2] = colors[from + 2]!;
    }
    paint[4 * i + 3] = split === null ? 0 : SLOT_OF[split.label[i]!]!;
  }
  return paint;
}

function outlinesOf(lines: readonly BorderLine[]): OutlineArrays {
  const { ends, labels } = borderSegments(lines);
  const from = new Float32Array(3 * labels.length);
  const to = new Float32Array(3 * labels.length);
  const slot = new Float32Array(labels.length);
  for (let i = 0; i < labels.length; i++) {
    for (let k = 0; k < 3; k++) {
      from[3 * i + k] = ends[6 * i + k]!;
      to[3 * i + k] = ends[6 * i + 3 + k]!;
    }
    slot[i] = SLOT_OF[labels[i]!]!;
  }
  return { from, to, slot };
}

/** `slotOf` of every byte. */
const SLOT_OF = Uint8Array.from({ length: 256 }, (_, label) => slotOf(label));
