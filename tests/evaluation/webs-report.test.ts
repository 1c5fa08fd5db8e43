import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { heightField } from '../helpers/height-field.ts';
import { makeContact } from '../helpers/make-analysis.ts';
import { makeScanFromArrays } from '../helpers/make-scan.ts';
import { judgeContacts } from './judge-spaces.ts';
import { readTrueWebs, trueWebSize } from './true-webs.ts';
import { judgeWebs, websTable } from './webs-report.ts';

const TRUTH = JSON.stringify({ occlusal_direction: [0, 0, 1] });

/** A saddle z = -0.8 y^2 in squares of 0.2 mm: 11 left of the ridge, 21 right of it, a web up to `half` off the middle. */
function saddle(half: number) {
  const { mesh } = heightField(
    1,
    2,
    0.2,
    (_, y) => -0.8 * y * y,
    () => 0,
  );
  const scan = makeScanFromArrays(mesh.positions, mesh.triangles);
  const at = (v: number): Vec3 => [0, 1, 2].map((k) => scan.positions[3 * v + k]!) as unknown as Vec3;
  const vertices = Array.from({ length: scan.positions.length / 3 }, (_, v) => at(v));
  const labels = Uint8Array.from(vertices, ([x]) => (x < 0.1 ? 11 : 21));
  const bridge = (extra: (p: Vec3) => boolean) =>
    Uint8Array.from(vertices, (p) => (Math.abs(p[1]) < half || extra(p) ? 1 : 0));
  return { scan, labels, bridge };
}

describe('true webs', () => {
  it('extend as far as the true labels meet on what the scanner filled in; strays are left out', () => {
    const { scan, labels, bridge } = saddle(1.1);
    const contact = makeContact(11, 21, { status: 'bridged' });
    const along = { ...contact, closingDirection: [1, 0, 0] as Vec3 };
    const webs = readTrueWebs(
      scan,
      labels,
      bridge(() => false),
      TRUTH,
    );
    // vertices up to 1 mm off the middle are web; the edges from them reach half a square farther
    const size = trueWebSize(webs, along)!;
    expect(size.widthMm).toBeCloseTo(2.2, 5);
    expect(size.heightMm).toBeCloseTo(0.8 * ((1 + 1.2 ** 2) / 2), 5);
    const stray = bridge(([x, y]) => Math.abs(y - 2) < 0.01 && Math.abs(x) < 0.01);
    expect(trueWebSize(readTrueWebs(scan, labels, stray, TRUTH), along)).toEqual(size);
    expect(trueWebSize(webs, { ...along, toothB: 22 })).toBeNull();
  });
});

describe('websTable', () => {
  it('gives errors of height and width where a web was found, with the worst place', () => {
    const found = (toothB: number, heightMm: number | null, widthMm: number | null) => ({
      ...makeContact(11, toothB, { status: 'bridged', upperBoundMm: 0.3 }),
      bridgeHeightMm: heightMm,
      bridgeWidthMm: widthMm,
      closingDirection: [1, 0, 0] as Vec3,
    });
    // true webs 2 mm high and 1 mm wide
    const border: Vec3[] = [
      [0, 0, 0],
      [0, 1, 2],
    ];
    const webs = {
      occlusal: [0, 0, 1] as Vec3,
      borders: new Map([21, 22, 23].map((b) => [`11-${b}`, border])),
    };
    const contacts = [found(21, 2.3, 1.1), found(22, 1.6, 1), found(23, null, null)];
    const spaces = [21, 22, 23].map((toothB) => ({ toothA: 11, toothB, gapMm: 0, state: 'closed' as const }));
    const judged = judgeWebs(
      judgeContacts('here', contacts, spaces, () => null),
      webs,
    );
    const row = websTable(judged)
      .split('\n')
      .at(-1)!
      .split('|')
      .map((cell) => cell.trim());
    // heights +0.3 and -0.4: mean -0.05, rms sqrt(0.125); widths +0.1 and 0: rms sqrt(0.005)
    expect(row.slice(1, -1)).toEqual([
      'all',
      '3',
      '2',
      '-0.05',
      '0.35',
      '-0.40',
      '11-22',
      '0.05',
      '0.07',
      '0.10',
      '11-21',
    ]);
  });
});
