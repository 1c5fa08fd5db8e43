/**
 * Smallest distance of two triangles, with the two points that attain it, in double precision.
 *
 * The minimum over two disjoint triangles is attained either at a vertex of one (nearest point of the other: face,
 * edge or vertex) or inside an edge of each; both families are enumerated. Triangles that pierce each other have
 * distance 0, found by the edge-through-face test. Closest point of a triangle after C. Ericson, Real-Time Collision
 * Detection (2005), section 5.1.5; closest points of two lines after section 5.1.9.
 */

/** What a query writes: squared distance (mm^2), then the point on A and the point on B (mm). */
export type PairBuffer = Float64Array;

const scratch = new Float64Array(3);

/** An array that `triangleDistance` can write to. */
export function makePairBuffer(): PairBuffer {
  return new Float64Array(7);
}

/**
 * Nearest point of a triangle to (px, py, pz), written to `out[0..2]`. Degenerate triangles are treated as the segment
 * or point they are.
 * @param t - corners of triangles, nine numbers each, mm
 * @param at - where in `t` the triangle begins
 * @returns squared distance, mm^2
 */
export function closestPointOnTriangle(
  t: Float64Array,
  px: number,
  py: number,
  pz: number,
  out: Float64Array,
  at = 0,
): number {
  const ax = t[at]!;
  const ay = t[at + 1]!;
  const az = t[at + 2]!;
  const abx = t[at + 3]! - ax;
  const aby = t[at + 4]! - ay;
  const abz = t[at + 5]! - az;
  const acx = t[at + 6]! - ax;
  const acy = t[at + 7]! - ay;
  const acz = t[at + 8]! - az;
  const apx = px - ax;
  const apy = py - ay;
  const apz = pz - az;
  const d1 = abx * apx + aby * apy + abz * apz;
  const d2 = acx * apx + acy * apy + acz * apz;
  let v = 0;
  let w = 0;
  if (d1 > 0 || d2 > 0) {
    const bpx = apx - abx;
    const bpy = apy - aby;
    const bpz = apz - abz;
    const d3 = abx * bpx + aby * bpy + abz * bpz;
    const d4 = acx * bpx + acy * bpy + acz * bpz;
    const cpx = apx - acx;
    const cpy = apy - acy;
    const cpz = apz - acz;
    const d5 = abx * cpx + aby * cpy + abz * cpz;
    const d6 = acx * cpx + acy * cpy + acz * cpz;
    const vc = d1 * d4 - d3 * d2;
    const vb = d5 * d2 - d1 * d6;
    const va = d3 * d6 - d5 * d4;
    if (d3 >= 0 && d4 <= d3) {
      v = 1;
    } else if (vc <= 0 && d1 >= 0 && d3 <= 0 && d1 > d3) {
      // Where the edge has no length, the others are asked.
      v = d1 / (d1 - d3);
    } else if (d6 >= 0 && d5 <= d6) {
      w = 1;
    } else if (vb <= 0 && d2 >= 0 && d6 <= 0) {
      w = d2 - d6 > 0 ? d2 / (d2 - d6) : 0;
    } else if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0) {
      const s = d4 - d3 + (d5 - d6);
      w = s > 0 ? (d4 - d3) / s : 0;
      v = 1 - w;
    } else {
      const s = va + vb + vc;
      if (s > 0) {
        v = vb / s;
        w = vc / s;
      }
    }
  }
  const qx = ax + v * abx + w * acx;
  const qy = ay + v * aby + w * acy;
  const qz = az + v * abz + w * acz;
  out[0] = qx;
  out[1] = qy;
  out[2] = qz;
  return (px - qx) ** 2 + (py - qy) ** 2 + (pz - qz) ** 2;
}

/** Keeps the pair (vertex i of `from`, nearest point of `to`) when it beats `out`. */
function tryVertices(from: Float64Array, to: Float64Array, fromIsA: boolean, out: PairBuffer): void {
  for (let i = 0; i < 9; i += 3) {
    const d = closestPointOnTriangle(to, from[i]!, from[i + 1]!, from[i + 2]!, scratch);
    if (d < out[0]!) {
      out[0] = d;
      const p = fromIsA ? 1 : 4;
      const q = fromIsA ? 4 : 1;
      for (let k = 0; k < 3; k += 1) {
        out[p + k] = from[i + k]!;
        out[q + k] = scratch[k]!;
      }
    }
  }
}

/** Keeps the pair of interior points of edge i of A and edge j of B when it beats `out`. */
function tryEdges(a: Float64Array, i: number, b: Float64Array, j: number, out: PairBuffer): void {
  const i2 = (i + 3) % 9;
  const j2 = (j + 3) % 9;
  const ux = a[i2]! - a[i]!;
  const uy = a[i2 + 1]! - a[i + 1]!;
  const uz = a[i2 + 2]! - a[i + 2]!;
  const vx = b[j2]! - b[j]!;
  const vy = b[j2 + 1]! - b[j + 1]!;
  const vz = b[j2 + 2]! - b[j + 2]!;
  const rx = a[i]! - b[j]!;
  const ry = a[i + 1]! - b[j + 1]!;
  const rz = a[i + 2]! - b[j + 2]!;
  const uu = ux * ux + uy * uy + uz * uz;
  const vv = vx * vx + vy * vy + vz * vz;
  const uv = ux * vx + uy * vy + uz * vz;
  const ur = ux * rx + uy * ry + uz * rz;
  const vr = vx * rx + vy * ry + vz * rz;
  const den = uu * vv - uv * uv;
  // Parallel edges attain their distance at an end as well, which `tryVertices` covers.
  if (!(den > 0)) return;
  const s = (uv * vr - ur * vv) / den;
  const t = (uu * vr - ur * uv) / den;
  if (!(s > 0 && s < 1 && t > 0 && t < 1)) return;
  const px = a[i]! + s * ux;
  const py = a[i + 1]! + s * uy;
  const pz = a[i + 2]! + s * uz;
  const qx = b[j]! + t * vx;
  const qy = b[j + 1]! + t * vy;
  const qz = b[j + 2]! + t * vz;
  const d = (px - qx) ** 2 + (py - qy) ** 2 + (pz - qz) ** 2;
  if (d < out[0]!) {
    out[0] = d;
    out[1] = px;
    out[2] = py;
    out[3] = pz;
    out[4] = qx;
    out[5] = qy;
    out[6] = qz;
  }
}

/** Where an edge of `edges` runs through the face `t`, distance 0 is written; returns whether one does. */
function tryPiercing(edges: Float64Array, t: Float64Array, out: PairBuffer): boolean {
  const abx = t[3]! - t[0]!;
  const aby = t[4]! - t[1]!;
  const abz = t[5]! - t[2]!;
  const acx = t[6]! - t[0]!;
  const acy = t[7]! - t[1]!;
  const acz = t[8]! - t[2]!;
  const nx = aby * acz - abz * acy;
  const ny = abz * acx - abx * acz;
  const nz = abx * acy - aby * acx;
  for (let i = 0; i < 9; i += 3) {
    const j = (i + 3) % 9;
    const hi = nx * (edges[i]! - t[0]!) + ny * (edges[i + 1]! - t[1]!) + nz * (edges[i + 2]! - t[2]!);
    const hj = nx * (edges[j]! - t[0]!) + ny * (edges[j + 1]! - t[1]!) + nz * (edges[j + 2]! - t[2]!);
    if ((hi > 0 && hj < 0) || (hi < 0 && hj > 0)) {
      const s = hi / (hi - hj);
      const x = edges[i]! + s * (edges[j]! - edges[i]!);
      const y = edges[i + 1]! + s * (edges[j + 1]! - edges[i + 1]!);
      const z = edges[i + 2]! + s * (edges[j + 2]! - edges[i + 2]!);
      if (insideFace(t, nx, ny, nz, x, y, z)) {
        out[0] = 0;
        out[1] = x;
        out[2] = y;
        out[3] = z;
        out[4] = x;
        out[5] = y;
        out[6] = z;
        return true;
      }
    }
  }
  return false;
}

/** Whether a point of the plane of `t` (normal n, not unit) lies inside the triangle, border included. */
function insideFace(
  t: Float64Array,
  nx: number,
  ny: number,
  nz: number,
  x: number,
  y: number,
  z: number,
): boolean {
  for (let i = 0; i < 9; i += 3) {
    const j = (i + 3) % 9;
    const ex = t[j]! - t[i]!;
    const ey = t[j + 1]! - t[i + 1]!;
    const ez = t[j + 2]! - t[i + 2]!;
    const px = x - t[i]!;
    const py = y - t[i + 1]!;
    const pz = z - t[i + 2]!;
    const side = nx * (ey * pz - ez * py) + ny * (ez * px - ex * pz) + nz * (ex * py - ey * px);
    if (side < 0) return false;
  }
  return true;
}

/**
 * Exact distance of two triangles.
 * @param a - 9 numbers: the three corners of A, mm
 * @param b - likewise B
 * @param out - receives squared distance, point on A, point on B; equal points when the triangles meet
 * @returns squared distance, mm^2
 */
export function triangleDistance(a: Float64Array, b: Float64Array, out: PairBuffer): number {
  out[0] = Number.POSITIVE_INFINITY;
  tryVertices(a, b, true, out);
  tryVertices(b, a, false, out);
  for (let i = 0; i < 9; i += 3) {
    for (let j = 0; j < 9; j += 3) tryEdges(a, i, b, j, out);
  }
  if (out[0]! > 0 && !tryPiercing(a, b, out)) tryPiercing(b, a, out);
  return out[0]!;
}
