import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { triangleCentroids } from '../../src/geometry/triangle-geometry.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { clicksToScanFrame, parseClickFile, snapClicks } from '../../src/teeth/clicks.ts';
import { draftTeeth } from '../../src/teeth/draft-teeth.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { Click, ClickSet, Segmentation } from '../../src/teeth/types.ts';

const DEMO = new URL('../../public/demo/', import.meta.url);

let base: TeethBase;
let set: ClickSet;
beforeAll(async () => {
  const scan = await readScan(new Uint8Array(readFileSync(new URL('demo-arch.ply', DEMO))), {
    fileName: 'demo-arch.ply',
  });
  base = await prepareTeeth(scan);
  const text = readFileSync(new URL('demo-clicks.json', DEMO), 'utf8');
  set = snapClicks(scan, clicksToScanFrame(parseClickFile(text), scan));
});

const first = (n: number): ClickSet => ({ ...set, clicks: set.clicks.slice(0, n) });

function overlap(a: Uint8Array, b: Uint8Array, label: number): number {
  let both = 0;
  let either = 0;
  for (let f = 0; f < a.length; f++) {
    if (a[f] === label && b[f] === label) both++;
    if (a[f] === label || b[f] === label) either++;
  }
  return both / either;
}

describe('draftTeeth', () => {
  it('shows every tooth nearly as it will be settled, click after click', () => {
    let settled: Segmentation | null = null;
    for (let n = 1; n <= set.clicks.length; n++) {
      const draft = draftTeeth(base, first(n), settled)!;
      settled = segmentTeeth(base, first(n), settled);
      const tooth = set.clicks[n - 1]!.tooth as number;
      expect(overlap(draft.labels, settled.labels, tooth)).toBeGreaterThan(0.9);
    }
  });

  it('leaves everything farther away as it was, to the face', () => {
    const before = segmentTeeth(base, first(13));
    const draft = draftTeeth(base, first(14), before)!;
    const [x, y, z] = set.clicks[13]!.point;
    const centroid = triangleCentroids(base.scan);
    let changed = 0;
    for (let f = 0; f < draft.labels.length; f++) {
      if (draft.labels[f] === before.labels[f]) continue;
      changed++;
      const apart = Math.hypot(centroid[3 * f]! - x, centroid[3 * f + 1]! - y, centroid[3 * f + 2]! - z);
      expect(apart).toBeLessThan(25);
    }
    expect(changed).toBeGreaterThan(500);
  });

  it('draws a correction at once: the place under a gum click is gum', () => {
    const before = segmentTeeth(base, set);
    const { point } = set.clicks[6]!;
    const correction: Click = { tooth: 'gum', point: [point[0] + 2, point[1] + 2, point[2]] };
    const [snapped] = snapClicks(base.scan, { ...set, clicks: [correction] }).clicks;
    const corrected = { ...set, clicks: [...set.clicks, snapped!] };
    const draft = draftTeeth(base, corrected, before)!;
    const settled = segmentTeeth(base, corrected, before);
    const centroid = triangleCentroids(base.scan);
    const under = [...settled.labels.keys()].filter((f) => {
      const d = [0, 1, 2].map((k) => centroid[3 * f + k]! - snapped!.point[k]!);
      return before.labels[f] !== 0 && settled.labels[f] === 0 && Math.hypot(...d) < 0.7;
    });
    expect(under.length).toBeGreaterThan(5);
    expect(under.filter((f) => draft.labels[f] !== 0)).toEqual([]);
  });

  it('has no answer once a click was moved or taken away', () => {
    const before = segmentTeeth(base, first(3));
    expect(draftTeeth(base, first(2), before)).toBeNull();
  });

  it('refuses what the settled answer refuses', () => {
    expect(() => draftTeeth(base, first(0), null)).toThrowError(
      expect.objectContaining({ code: 'NO_CLICKS' }),
    );
  });
});
