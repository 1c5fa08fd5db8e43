import { IndexList } from '../../geometry/index-list.ts';
import { letGo } from '../../geometry/let-go.ts';
import type { ToothMap } from '../../teeth/types.ts';

/**
 * A scan cut along its label borders: every display vertex belongs to one tooth only, so that crowns can be tinted
 * and moved as rigid bodies on the graphics card. Triangle order is that of the scan.
 */
export interface SplitMesh {
  /** (m x 3) display vertex per corner. */
  readonly index: Uint32Array;
  /** (n' ) scan vertex each display vertex was made from; the first n are the scan's own. */
  readonly source: Uint32Array;
  /** (n') ISO number or 0 of each display vertex. */
  readonly label: Uint8Array;
  /** (n) 1 where triangles of two or more labels meet. */
  readonly shared: Uint8Array;
}

const UNSEEN = -1;

/**
 * Duplicates the vertices at which triangles of different labels meet, once per label.
 *
 * @param triangles - (m x 3) vertex indices, not modified
 * @param vertexCount - n
 * @param labels - m labels, not modified
 */
export function splitByLabel(triangles: Uint32Array, vertexCount: number, labels: ToothMap): SplitMesh {
  const first = new Int16Array(vertexCount).fill(UNSEEN);
  const shared = new Uint8Array(vertexCount);
  const index = new Uint32Array(triangles.length);
  // Copies of one vertex form a chain: the newest of each vertex, and which one was there before.
  const newest = new Int32Array(vertexCount).fill(UNSEEN);
  const before = new IndexList();
  const extraSource = new IndexList();
  const extraLabel = new IndexList();
  for (let corner = 0, t = 0; corner < triangles.length; corner += 3, t++) {
    const label = labels[t]!;
    for (let k = corner; k < corner + 3; k++) {
      const v = triangles[k]!;
      const known = first[v]!;
      if (known === label) index[k] = v;
      else if (known === UNSEEN) {
        first[v] = label;
        index[k] = v;
      } else {
        shared[v] = 1;
        let copy = newest[v]!;
        while (copy !== UNSEEN && extraLabel.values[copy] !== label) copy = before.values[copy]!;
        if (copy === UNSEEN) {
          copy = extraSource.length;
          before.push(newest[v]!);
          extraSource.push(v);
          extraLabel.push(label);
          newest[v] = copy;
        }
        index[k] = vertexCount + copy;
      }
    }
  }
  const total = vertexCount + extraSource.length;
  const source = new Uint32Array(total);
  const label = new Uint8Array(total);
  for (let v = 0; v < vertexCount; v++) {
    source[v] = v;
    label[v] = first[v] === UNSEEN ? 0 : first[v]!;
  }
  source.set(extraSource.toArray(), vertexCount);
  label.set(extraLabel.toArray(), vertexCount);
  letGo(first, newest);
  return { index, source, label, shared };
}

/** Copies per-vertex data of the scan to the display vertices. `width` numbers per vertex. */
export function gather<T extends Float32Array | Uint8Array>(
  values: T,
  width: number,
  source: Uint32Array,
): T {
  const out = (
    values instanceof Float32Array
      ? new Float32Array(source.length * width)
      : new Uint8Array(source.length * width)
  ) as T;
  for (let i = 0; i < source.length; i++) {
    const from = source[i]! * width;
    for (let k = 0; k < width; k++) out[i * width + k] = values[from + k]!;
  }
  return out;
}

/**
 * As `gather`, for a split mesh: its first vertices are the scan's own, so only the copies are picked one by one.
 *
 * @param room - vertices that the result is made for, at least those of the split mesh
 */
export function spread(values: Float32Array, width: number, split: SplitMesh, room: number): Float32Array {
  const out = new Float32Array(room * width);
  out.set(values);
  for (let i = values.length / width; i < split.source.length; i++) {
    const from = split.source[i]! * width;
    for (let k = 0; k < width; k++) out[i * width + k] = values[from + k]!;
  }
  return out;
}

/** Labels are packed into 33 places for the shader: 0 gum, then quadrant by quadrant 1 to 32. */
export const SLOT_COUNT = 33;

/** Place of an ISO number in the shader's tables; anything that is no permanent tooth is gum. */
export function slotOf(label: number): number {
  const quadrant = Math.floor(label / 10);
  const digit = label % 10;
  return quadrant >= 1 && quadrant <= 4 && digit >= 1 && digit <= 8 ? (quadrant - 1) * 8 + digit : 0;
}
