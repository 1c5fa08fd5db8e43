import type { Vec3 } from '../../geometry/types.ts';

/** Every k-th vertex: enough to fit the view around a scan. */
export function sampleVertices(positions: Float32Array, atMost: number): Float32Array {
  const count = positions.length / 3;
  const step = Math.max(1, Math.floor(count / atMost));
  const out = new Float32Array(3 * Math.ceil(count / step));
  // Number by number: an object for each vertex made this the longest task of a scan that opens.
  for (let i = 0, j = 0; i < count; i += step, j++) {
    out[3 * j] = positions[3 * i]!;
    out[3 * j + 1] = positions[3 * i + 1]!;
    out[3 * j + 2] = positions[3 * i + 2]!;
  }
  return out;
}

/** A sphere around points: where the camera's near and far planes must lie. */
export function boundingSphere(points: Float32Array): {
  readonly centre: Vec3;
  readonly radiusMm: number;
} {
  if (points.length === 0) return { centre: [0, 0, 0], radiusMm: 0 };
  const low: [number, number, number] = [Infinity, Infinity, Infinity];
  const high: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i++) {
    const value = points[i]!;
    const k = i % 3;
    if (value < low[k]!) low[k] = value;
    if (value > high[k]!) high[k] = value;
  }
  const centre: Vec3 = [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2];
  let farthest = 0;
  for (let i = 0; i < points.length; i += 3) {
    const x = points[i]! - centre[0];
    const y = points[i + 1]! - centre[1];
    const z = points[i + 2]! - centre[2];
    farthest = Math.max(farthest, x * x + y * y + z * z);
  }
  return { centre, radiusMm: Math.sqrt(farthest) };
}
