import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import { letGo } from '../../geometry/let-go.ts';
import type { TriangleMesh } from '../../geometry/types.ts';
import type { SimplifiedMesh } from './coarse-labels.ts';

/** Triangles simplified at a time: the simplifier takes 120 bytes for each, more than twice the file of the scan. */
const MOST_AT_ONCE = 150_000;
/** As many as a byte can number. */
const MOST_SLABS = 256;
/** Places along the scan at which it can be cut. */
const CUTS = 4096;

/**
 * Fewer triangles for the eye: edges are collapsed where that changes the shape least (quadric error metric, Garland
 * and Heckbert 1997, as in meshoptimizer). No vertex moves: those that remain are the scan's own.
 *
 * A heavy scan is simplified slab by slab, as its memory would otherwise be the highest that the page takes. The edges
 * between two slabs stay as they are, so that the surface does not tear.
 *
 * @param mesh - not modified
 * @param triangleCount - about how many are to remain
 * @param mostAtOnce - triangles of a slab, about
 */
export async function simplifyMesh(
  { positions, triangles }: TriangleMesh,
  triangleCount: number,
  mostAtOnce = MOST_AT_ONCE,
): Promise<SimplifiedMesh> {
  await MeshoptSimplifier.ready;
  const count = triangles.length / 3;
  const slabs = Math.min(Math.max(1, Math.ceil(count / mostAtOnce)), MOST_SLABS);
  const slabOf = slabs === 1 ? new Uint8Array(count) : cutAcross({ positions, triangles }, slabs);
  const place = new Int32Array(positions.length / 3).fill(NOWHERE);
  const parts: Uint32Array[] = [];
  for (let slab = 0; slab < slabs; slab++) {
    const { index, source } = partOf(triangles, slabOf, slab, place);
    const wanted = 3 * Math.round((triangleCount * index.length) / triangles.length);
    const corners = cornersOf(positions, source);
    // The share of the size that the surface may move: for the eye any, so that the count decides.
    const [kept] = MeshoptSimplifier.simplify(
      index,
      corners,
      3,
      wanted,
      1,
      slabs === 1 ? [] : ['LockBorder'],
    );
    for (let i = 0; i < kept.length; i++) kept[i] = source[kept[i]!]!;
    parts.push(kept);
    letGo(index, source, corners);
  }
  letGo(slabOf);
  const simplified = compacted(parts, place);
  letGo(place, ...parts);
  return simplified;
}

const NOWHERE = -1;

/** Slab of each triangle: of about as many triangles each, across the longest side of the scan. */
function cutAcross({ positions, triangles }: TriangleMesh, slabs: number): Uint8Array {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const k = i % 3;
    if (positions[i]! < low[k]!) low[k] = positions[i]!;
    if (positions[i]! > high[k]!) high[k] = positions[i]!;
  }
  const sides = low.map((from, k) => high[k]! - from);
  const axis = sides.indexOf(Math.max(...sides));
  const cutsPerMm = (CUTS - 1) / Math.max(sides[axis]!, Number.MIN_VALUE);
  const cutOf = new Uint16Array(triangles.length / 3);
  const filled = new Uint32Array(CUTS);
  for (let t = 0; t < cutOf.length; t++) {
    const cut = Math.floor((positions[3 * triangles[3 * t]! + axis]! - low[axis]!) * cutsPerMm);
    cutOf[t] = cut;
    filled[cut]!++;
  }
  const slabOfCut = new Uint8Array(CUTS);
  let before = 0;
  for (let cut = 0; cut < CUTS; cut++) {
    slabOfCut[cut] = Math.floor((before * slabs) / cutOf.length);
    before += filled[cut]!;
  }
  const slabOf = new Uint8Array(cutOf.length);
  for (let t = 0; t < slabOf.length; t++) slabOf[t] = slabOfCut[cutOf[t]!]!;
  letGo(cutOf);
  return slabOf;
}

/**
 * The triangles of one slab on vertices of its own.
 *
 * @param place - `NOWHERE` for every vertex, and so again afterwards
 */
function partOf(
  triangles: Uint32Array,
  slabOf: Uint8Array,
  slab: number,
  place: Int32Array,
): { readonly index: Uint32Array; readonly source: Uint32Array } {
  let corners = 0;
  for (let t = 0; t < slabOf.length; t++) if (slabOf[t] === slab) corners += 3;
  const index = new Uint32Array(corners);
  const source = new Uint32Array(Math.min(corners, place.length));
  let used = 0;
  let at = 0;
  for (let t = 0; t < slabOf.length; t++) {
    if (slabOf[t] !== slab) continue;
    for (let corner = 3 * t; corner < 3 * t + 3; corner++) {
      const v = triangles[corner]!;
      if (place[v] === NOWHERE) {
        place[v] = used;
        source[used++] = v;
      }
      index[at++] = place[v]!;
    }
  }
  for (let i = 0; i < used; i++) place[source[i]!] = NOWHERE;
  return { index, source: source.subarray(0, used) };
}

function cornersOf(positions: Float32Array, source: Uint32Array): Float32Array {
  const out = new Float32Array(3 * source.length);
  for (let i = 0; i < source.length; i++) {
    const v = 3 * source[i]!;
    out[3 * i] = positions[v]!;
    out[3 * i + 1] = positions[v + 1]!;
    out[3 * i + 2] = positions[v + 2]!;
  }
  return out;
}

/** The parts as one mesh on the vertices that are left. */
function compacted(parts: readonly Uint32Array[], place: Int32Array): SimplifiedMesh {
  const triangles = new Uint32Array(parts.reduce((sum, { length }) => sum + length, 0));
  let used = 0;
  let at = 0;
  for (const part of parts) {
    for (let i = 0; i < part.length; i++) {
      const v = part[i]!;
      if (place[v] === NOWHERE) place[v] = used++;
      triangles[at++] = place[v]!;
    }
  }
  const source = new Uint32Array(used);
  for (let v = 0; v < place.length; v++) if (place[v] !== NOWHERE) source[place[v]!] = v;
  return { triangles, source };
}
