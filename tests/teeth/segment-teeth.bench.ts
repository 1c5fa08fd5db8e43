import { bench, describe } from 'vitest';
import type { Scan } from '../../src/scan/types.ts';
import { draftTeeth } from '../../src/teeth/draft-teeth.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import { subdivide } from '../benchmark/subdivide.ts';
import { readLabelledCase, scanOf, sharedDataPresent } from './shared-scans.ts';

/*
 * Goals at 280,000 triangles: a further click settled in 0.4 s, the whole arch in 1 s; at 1.1 million triangles no
 * more than 1.5 times that.
 */

describe.runIf(sharedDataPresent())('segmentation', async () => {
  if (!sharedDataPresent()) return;
  const { scan, clicks } = readLabelledCase('synthetic/upper-three-spaces');
  const set = clicks.get('clicks.json')!;
  const sizes: [string, Scan][] = [
    ['280 thousand triangles', scan],
    ['1.1 million triangles', scanOf(subdivide(scan))],
  ];
  for (const [size, one] of sizes) {
    const base = await prepareTeeth(one);
    const before = segmentTeeth(base, { ...set, clicks: set.clicks.slice(0, -1) });
    const whole = segmentTeeth(base, set);
    const correction = { tooth: 'gum' as const, point: set.clicks[6]!.point.map((v) => v + 1) as never };
    const options = { iterations: 5, warmupIterations: 1, time: 0, warmupTime: 0 };
    bench(`prepare, ${size}`, async () => void (await prepareTeeth(one)), options);
    bench(`whole arch from 14 clicks, ${size}`, () => void segmentTeeth(base, set), options);
    bench(`14th tooth, first answer, ${size}`, () => void draftTeeth(base, set, before), options);
    bench(`14th tooth, ${size}`, () => void segmentTeeth(base, set, before), options);
    bench(
      `gum correction, ${size}`,
      () => void segmentTeeth(base, { ...set, clicks: [...set.clicks, correction] }, whole),
      options,
    );
  }
});
