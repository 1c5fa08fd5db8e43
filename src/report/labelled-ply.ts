import type { Scan } from '../scan/types.ts';
import type { ToothMap } from '../teeth/types.ts';

/** What the labelled file is made of: a scan, or crowns laid into one mesh. */
export type LabelledSurface = Pick<Scan, 'positions' | 'triangles' | 'colors' | 'originMm'>;

/**
 * The welded scan with its teeth as a binary little-endian PLY: vertices in the file's coordinates in mm (float, or
 * double when the file lies so far from its origin that float would lose micrometres), the scan's colours if there
 * are some, and `property uchar tooth` on each face: 0 gum, else the ISO 3950 number.
 *
 * @param labels - one number per triangle of the scan
 * @throws RangeError when the labels are not as many as the triangles
 */
export function writeLabelledPly(scan: LabelledSurface, labels: ToothMap): Uint8Array {
  const vertexCount = scan.positions.length / 3;
  const faceCount = scan.triangles.length / 3;
  if (labels.length !== faceCount) {
    throw new RangeError(`${labels.length} labels for ${faceCount} triangles.`);
  }
  const wide = scan.originMm.some((value) => value !== 0);
  const header = new TextEncoder().encode(headerText(vertexCount, faceCount, wide, scan.colors !== null));
  const coordinateBytes = wide ? 8 : 4;
  const vertexBytes = 3 * coordinateBytes + (scan.colors ? 3 : 0);
  const faceBytes = 1 + 3 * 4 + 1;
  const bytes = new Uint8Array(header.length + vertexCount * vertexBytes + faceCount * faceBytes);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (let vertex = 0; vertex < vertexCount; vertex++) {
    for (let axis = 0; axis < 3; axis++) {
      const value = scan.positions[vertex * 3 + axis]!;
      if (wide) view.setFloat64(at, value + scan.originMm[axis]!, true);
      else view.setFloat32(at, value, true);
      at += coordinateBytes;
    }
    if (scan.colors) {
      for (let k = 0; k < 3; k++) bytes[at++] = scan.colors[vertex * 3 + k]!;
    }
  }
  for (let face = 0; face < faceCount; face++) {
    bytes[at] = 3;
    for (let corner = 0; corner < 3; corner++) {
      view.setInt32(at + 1 + corner * 4, scan.triangles[face * 3 + corner]!, true);
    }
    bytes[at + 13] = labels[face]!;
    at += faceBytes;
  }
  return bytes;
}

function headerText(vertices: number, faces: number, wide: boolean, coloured: boolean): string {
  const real = wide ? 'double' : 'float';
  return [
    'ply',
    'format binary_little_endian 1.0',
    'comment unit mm',
    'comment tooth: ISO 3950 number, 0 = gum',
    `element vertex ${vertices}`,
    ...['x', 'y', 'z'].map((axis) => `property ${real} ${axis}`),
    ...(coloured ? ['red', 'green', 'blue'].map((channel) => `property uchar ${channel}`) : []),
    `element face ${faces}`,
    'property list uchar int vertex_indices',
    'property uchar tooth',
    'end_header',
    '',
  ].join('\n');
}
