import { bench, describe } from 'vitest';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import type { Scan } from '../../src/scan/types.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import { readLabelledCase, scanOf, sharedDataPresent } from './shared-scans.ts';

/*
 * Goals at 280,000 triangles: a further click settled in 0.4 s, the whole arch in 1 s; at 1.1 million triangles no
 * more than 1.5 times that.
 */

/** Every triangle into four: the same surface with half the edge length. */
function subdivided(mesh: TriangleMesh): TriangleMesh {
  const { positions, triangles } = mesh;
  const vertexCount = positions.length / 3;
  const points = [...positions];
  const middles = new Map<number, number>();
  const middle = (a: number, b: number): number => {
    const key = Math.min(a, b) * vertexCount + Math.max(a, b);
    let v = middles.get(key);
    if (v === undefined) {
      v = points.length / 3;
      middles.set(key, v);
      for (let k = 0; k < 3; k++) points.push((positions[3 * a + k]! + positions[3 * b + k]!) / 2);
    }
    return v;
  };
  const finer = new Uint32Array(4 * triangles.length);
  for (let f = 0; f < triangles.length; f += 3) {
    const [a, b, c] = [triangles[f]!, triangles[f + 1]!, triangles[f + 2]!];
    const [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
    finer.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 4 * f);
  }
  return { positions: Float32Array.from(points), triangles: finer };
}

describe.runIf(sharedDataPresent())('segmentation', async () => {
  if (!sharedDataPresent()) return;
  const { scan, clicks } = readLabelledCase('synthetic/upper-three-spaces');
  const set = clicks.get('clicks.json')!;
  const sizes: [string, Scan][] = [
    ['280 thousand triangles', scan],
    ['1.1 million triangles', scanOf(subdivided(scan))],
  ];
  for (const [size, one] of sizes) {
    const base = await prepareTeeth(one);
    const before = segmentTeeth(base, { ...set, clicks: set.clicks.slice(0, -1) });
    const whole = segmentTeeth(base, set);
    const correction = { tooth: 'gum' as const, point: set.clicks[6]!.point.map((v) => v + 1) as never };
    const options = { iterations: 5, warmupIterations: 1, time: 0, warmupTime: 0 };
    bench(`prepare, ${size}`, async () => void (await prepareTeeth(one)), options);
    bench(`whole arch from 14 clicks, ${size}`, () => void segmentTeeth(base, set), options);
    bench(`14th tooth, ${size}`, () => void segmentTeeth(base, set, before), options);
    bench(
      `gum correction, ${size}`,
      () => void segmentTeeth(base, { ...set, clicks: [...set.clicks, correction] }, whole),
      options,
    );
  }
});
