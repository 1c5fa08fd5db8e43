import { inputError } from '../geometry/archgap-error.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { isToothNumber } from '../teeth/notation.ts';
import type { ToothMap } from '../teeth/types.ts';

/** What a labelled file gives back. */
export interface LabelledMesh {
  /** In the scan frame of the result it belongs to, mm. */
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle, 0 = gum. */
  readonly labels: ToothMap;
}

const HEADER_END = 'end_header\n';
/** A header of `writeLabelledPly` has some 400 bytes. */
const MOST_HEADER_BYTES = 4096;
const COUNT = /^element (vertex|face) (\d+)$/;
const SHAPE =
  /^ply\nformat binary_little_endian 1\.0\n(?:comment [^\n]*\n)*element vertex \d+\n(property (?:float|double) x\nproperty (?:float|double) y\nproperty (?:float|double) z\n)(property uchar red\nproperty uchar green\nproperty uchar blue\n)?element face \d+\nproperty list uchar int vertex_indices\nproperty uchar tooth\nend_header\n$/;

/**
 * Reads back what `writeLabelledPly` wrote: just that layout, so that triangles and labels are those of the
 * measurement, in its order.
 *
 * @param originMm - of the result the file belongs to; subtracted from the coordinates of the file
 * @throws ArchgapError `LABELLED_PLY`
 */
export function readLabelledPly(bytes: Uint8Array, originMm: Vec3): LabelledMesh {
  const refuse = (found: string): never => {
    throw inputError(
      'LABELLED_PLY',
      `The file labelled.ply ${found}; expected the file that archgap measure writes.`,
    );
  };
  const start = new TextDecoder('latin1').decode(bytes.subarray(0, MOST_HEADER_BYTES));
  const end = start.indexOf(HEADER_END);
  const header = end < 0 ? '' : start.slice(0, end + HEADER_END.length);
  const shape = SHAPE.exec(header);
  if (shape === null) return refuse('has another layout');
  const counts = new Map<string, number>();
  for (const line of header.split('\n')) {
    const count = COUNT.exec(line);
    if (count) counts.set(count[1]!, Number(count[2]));
  }
  const vertexCount = counts.get('vertex') ?? 0;
  const faceCount = counts.get('face') ?? 0;
  const wide = shape[1]!.includes('double');
  const coordinateBytes = wide ? 8 : 4;
  const vertexBytes = 3 * coordinateBytes + (shape[2] ? 3 : 0);
  const expected = header.length + vertexCount * vertexBytes + faceCount * 14;
  if (bytes.length !== expected) return refuse(`has ${bytes.length} bytes instead of ${expected}`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const positions = new Float32Array(3 * vertexCount);
  for (let i = 0; i < 3 * vertexCount; i += 1) {
    const at = header.length + Math.floor(i / 3) * vertexBytes + (i % 3) * coordinateBytes;
    const value = wide ? view.getFloat64(at, true) : view.getFloat32(at, true);
    if (!Number.isFinite(value)) return refuse('holds a coordinate that is no number');
    positions[i] = value - originMm[(i % 3) as 0 | 1 | 2];
  }
  const triangles = new Uint32Array(3 * faceCount);
  const labels = new Uint8Array(faceCount);
  const faces = header.length + vertexCount * vertexBytes;
  for (let face = 0; face < faceCount; face += 1) {
    const at = faces + 14 * face;
    const label = bytes[at + 13]!;
    if (bytes[at] !== 3 || (label !== 0 && !isToothNumber(label)))
      return refuse('holds a face it cannot have');
    for (let corner = 0; corner < 3; corner += 1) {
      const vertex = view.getUint32(at + 1 + 4 * corner, true);
      if (vertex >= vertexCount) return refuse('names a vertex it does not have');
      triangles[3 * face + corner] = vertex;
    }
    labels[face] = label;
  }
  return { mesh: { positions, triangles }, labels };
}
