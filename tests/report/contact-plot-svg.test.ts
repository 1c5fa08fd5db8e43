import { describe, expect, it } from 'vitest';
import { contactPlot, renderContactPlotSvg } from '../../src/report/contact-plot-svg.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';

const SIZE = { widthPx: 800, heightPx: 280 };

describe('contactPlot', () => {
  const model = contactPlot(threeSpaces(), SIZE, 'iso');
  const mark = (pair: string) => model.marks.find(({ toothA, toothB }) => `${toothA}-${toothB}` === pair)!;
  /** Millimetres back from pixels, from two ticks of the axis. */
  const mmAt = (y: number) => {
    const zero = model.ticks.find((tick) => tick.isZero)!;
    const other = model.ticks[model.ticks.length - 1]!;
    return ((y - zero.y) / (other.y - zero.y)) * Number(other.label);
  };

  it('stands the contacts from the patient’s right to left, each between its two teeth', () => {
    const xs = model.marks.map(({ x }) => x);
    expect(xs).toEqual([...xs].sort((a, b) => a - b));
    for (const { toothA, toothB, x } of model.marks) {
      const [a, b] = [toothA, toothB].map((tooth) => model.teeth.find((tile) => tile.tooth === tooth)!);
      expect(x).toBeGreaterThan(a!.x + a!.widthPx / 2);
      expect(x).toBeLessThan(b!.x + b!.widthPx / 2);
    }
    expect(model.midlineX).toBe(mark('11-21').x);
  });

  it('puts dot, whisker and limit where the axis says', () => {
    expect(mmAt(mark('13-12').symbol!.y)).toBeCloseTo(0.25, 6);
    expect(mmAt(mark('13-12').whisker!.y1)).toBeCloseTo(0.284, 6);
    expect(mmAt(mark('13-12').whisker!.y2)).toBeCloseTo(0.216, 6);
    expect(mmAt(model.limit.y)).toBeCloseTo(0.1, 6);
  });

  it('draws a bridged contact as a band up to its bound, without dot or whisker', () => {
    const bridged = mark('17-16');
    expect([bridged.symbol, bridged.whisker]).toEqual([null, null]);
    expect(mmAt(bridged.bound!.y)).toBeCloseTo(0.24, 6);
    expect(mmAt(bridged.bound!.y + bridged.bound!.heightPx)).toBeCloseTo(0, 6);
    expect(bridged.statusLabel.text).toBe('bridged');
    expect(bridged.valueLabel!.text).toBe('≤ 0.24');
  });

  it('gives every status a shape and a word of its own', () => {
    const shapeOf = (pair: string) => {
      const { symbol, x } = mark(pair);
      return symbol!.path.replaceAll(/[-\d.]+/g, '#') + (symbol!.filled ? '+' : '-') + (x > 0);
    };
    const shapes = ['13-12', '12-11', '21-22', '26-27'].map(shapeOf);
    expect(new Set(shapes).size).toBe(4);
    expect(['13-12', '12-11', '21-22', '26-27'].map((pair) => mark(pair).statusLabel.text)).toEqual([
      'open',
      'undecided',
      'closed',
      'no number',
    ]);
  });

  it('takes a very wide space off the axis with its number still written', () => {
    const wide = contactPlot(
      makeAnalysis({ contacts: { '11-21': { status: 'open', gapMm: 3.2, u95Mm: 0.05 } } }),
      SIZE,
      'iso',
    );
    const far = wide.marks.find(({ toothA }) => toothA === 11)!;
    expect([far.offScale, far.whisker, far.valueLabel!.text]).toEqual([true, null, '3.20']);
    expect(far.symbol!.y).toBeGreaterThanOrEqual(wide.frame.top);
  });

  it('goes below zero for an overlap', () => {
    const under = contactPlot(
      makeAnalysis({ contacts: { '11-21': { status: 'overlap', gapMm: -0.12, u95Mm: 0.02 } } }),
      SIZE,
      'iso',
    );
    const zero = under.ticks.find((tick) => tick.isZero)!;
    expect(under.marks.find(({ toothA }) => toothA === 11)!.symbol!.y).toBeGreaterThan(zero.y);
  });

  it('keeps the place of a missing tooth', () => {
    const gapped = contactPlot(makeAnalysis({ missing: [14] }), SIZE, 'palmer');
    const tile = gapped.teeth.find(({ missing }) => missing)!;
    expect(tile).toMatchObject({ tooth: 14, label: 'UR4' });
    const site = gapped.marks.find(({ status }) => status === 'missing-tooth')!;
    expect(site.x).toBeCloseTo(tile.x + tile.widthPx / 2, 6);
  });

  it('lays out an arch without contacts', () => {
    const empty = contactPlot(makeAnalysis({ teeth: [11] }), SIZE, 'iso');
    expect(empty.marks).toEqual([]);
    expect(renderContactPlotSvg(empty)).not.toContain('NaN');
  });

  it('stays inside the picture at the widths it is shown in', () => {
    for (const widthPx of [480, 640, 1100]) {
      const { frame, teeth, marks } = contactPlot(threeSpaces(), { widthPx, heightPx: 240 }, 'iso');
      expect(teeth[0]!.x).toBeGreaterThanOrEqual(frame.left);
      expect(teeth[13]!.x + teeth[13]!.widthPx).toBeLessThanOrEqual(frame.right + 0.01);
      for (const { symbol } of marks) {
        if (symbol) expect(symbol.y).toBeGreaterThanOrEqual(frame.top);
      }
    }
  });
});

describe('renderContactPlotSvg', () => {
  it('names every contact for those who listen, and holds no bad numbers', () => {
    const svg = renderContactPlotSvg(contactPlot(threeSpaces(), SIZE, 'iso'));
    expect(svg).toContain('<title>13-12 open, 0.25 ± 0.03 mm</title>');
    expect(svg.match(/<title>/g)).toHaveLength(13);
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });
});
