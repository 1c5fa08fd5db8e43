import { describe, expect, it } from 'vitest';
import { archMap, renderArchMapSvg } from '../../src/report/arch-map-svg.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';

const SIZE = { widthPx: 390, heightPx: 310 };

describe('archMap', () => {
  const tooth = (model: ReturnType<typeof archMap>, number: number) =>
    model.teeth.find((entry) => entry.tooth === number)!;

  it('shows the patient’s right on the left, upper incisors at the top', () => {
    const model = archMap(threeSpaces(), SIZE, 'iso');
    expect(tooth(model, 17).x).toBeLessThan(tooth(model, 27).x);
    expect(tooth(model, 11).y).toBeLessThan(tooth(model, 17).y);
  });

  it('shows a lower arch with the patient’s right on the left and incisors at the bottom', () => {
    const model = archMap(makeAnalysis({ jaw: 'lower' }), SIZE, 'iso');
    expect(tooth(model, 47).x).toBeLessThan(tooth(model, 37).x);
    expect(tooth(model, 41).y).toBeGreaterThan(tooth(model, 47).y);
  });

  it('labels measured spaces that are not closed, outside the arch, and nothing that was not measured', () => {
    const model = archMap(threeSpaces(), SIZE, 'iso');
    expect(model.contacts.flatMap(({ label }) => label?.text ?? [])).toEqual([
      '0.25',
      '0.11',
      '0.35',
      '0.60',
    ]);
    const middle = { x: SIZE.widthPx / 2, y: SIZE.heightPx / 2 };
    for (const { label, x, y } of model.contacts) {
      if (!label) continue;
      expect(Math.hypot(label.x - middle.x, label.y - middle.y)).toBeGreaterThan(
        Math.hypot(x - middle.x, y - middle.y),
      );
    }
  });

  it('keeps every crown inside the picture', () => {
    for (const analysis of [
      threeSpaces(),
      makeAnalysis({ teeth: [11, 12, 13] }),
      makeAnalysis({ jaw: 'lower' }),
    ]) {
      for (const { outline } of archMap(analysis, SIZE, 'iso').teeth) {
        const numbers = outline.match(/-?[\d.]+/g)!.map(Number);
        for (let k = 0; k < numbers.length; k += 2) {
          expect(numbers[k]).toBeGreaterThanOrEqual(0);
          expect(numbers[k]).toBeLessThanOrEqual(SIZE.widthPx);
          expect(numbers[k + 1]).toBeGreaterThanOrEqual(0);
          expect(numbers[k + 1]).toBeLessThanOrEqual(SIZE.heightPx);
        }
      }
    }
  });

  it('marks crowns whose width was not measured', () => {
    const analysis = threeSpaces();
    const teeth = analysis.teeth.map((record, k) => (k === 0 ? { ...record, mesiodistalMm: null } : record));
    const model = archMap({ ...analysis, teeth }, SIZE, 'iso');
    expect(model.teeth.map(({ drawnFrom }) => drawnFrom).indexOf('textbook')).toBe(0);
  });
});

describe('spaces outside of the arch', () => {
  it('are drawn by one factor, as wide as it says', () => {
    const model = archMap(threeSpaces(), SIZE, 'iso');
    const drawn = model.contacts.filter(({ magnified }) => magnified !== '');
    expect(drawn).toHaveLength(4);
    const analysis = threeSpaces();
    for (const { index, magnified } of drawn) {
      const [x0, y0, , , x1, y1] = magnified.match(/-?[\d.]+/g)!.map(Number);
      const widthMm = Math.hypot(x1! - x0!, y1! - y0!) / model.pxPerMm / model.magnification!;
      expect(widthMm).toBeCloseTo(analysis.contacts[index]!.gap!.valueMm, 2);
    }
    expect(renderArchMapSvg(model)).toContain(`drawn ${model.magnification} times as wide`);
  });

  it('are not spoken of where there is none', () => {
    const model = archMap(makeAnalysis({ teeth: [11, 12, 13] }), SIZE, 'iso');
    expect(model.magnification).toBeNull();
    expect(renderArchMapSvg(model)).not.toContain('times as wide');
  });
});

describe('crowns of the scan', () => {
  it('are drawn by their own outlines, front up for an upper and down for a lower arch', () => {
    for (const jaw of ['upper', 'lower'] as const) {
      const analysis = makeAnalysis({ jaw });
      const { frame } = analysis;
      const teeth = analysis.teeth.map((record) => {
        const at = [0, 1, 2].map((k) => record.centre[k]! - frame.origin[k]!) as [number, number, number];
        const x = at[0] * frame.x[0] + at[1] * frame.x[1] + at[2] * frame.x[2];
        const y = at[0] * frame.y[0] + at[1] * frame.y[1] + at[2] * frame.y[2];
        // A triangle that points to the front.
        return { ...record, outlineMm: [x - 2, y - 2, x + 2, y - 2, x, y + 3] };
      });
      const model = archMap({ ...analysis, teeth }, SIZE, 'iso');
      for (const { outline, y, drawnFrom } of model.teeth) {
        expect(drawnFrom).toBe('scan');
        const [, y0, , y1, , y2] = outline.match(/-?[\d.]+/g)!.map(Number);
        expect(y0).toBeCloseTo(y1!, 0);
        expect(Math.sign(y2! - y)).toBe(jaw === 'upper' ? -1 : 1);
      }
    }
  });
});

describe('renderArchMapSvg', () => {
  it('holds every tooth number and no bad numbers', () => {
    const svg = renderArchMapSvg(archMap(threeSpaces(), SIZE, 'universal'));
    for (let number = 2; number <= 15; number++) expect(svg).toContain(`>${number}</text>`);
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('shows every number whole, also where the arch fills its height', () => {
    for (const heightPx of [310, 200, 120]) {
      const model = archMap(threeSpaces(), { widthPx: 390, heightPx }, 'iso');
      const sight = /viewBox="([^"]+)"/.exec(renderArchMapSvg(model))![1]!.split(' ').map(Number);
      const [left, top, width, height] = sight as [number, number, number, number];
      for (const { label } of model.contacts) {
        if (label === null) continue;
        expect(label.y - 10).toBeGreaterThanOrEqual(top);
        expect(label.y).toBeLessThanOrEqual(top + height);
        expect(label.x).toBeGreaterThanOrEqual(left);
        expect(label.x).toBeLessThanOrEqual(left + width);
      }
    }
  });

  it('draws one tooth alone', () => {
    expect(renderArchMapSvg(archMap(makeAnalysis({ teeth: [11] }), SIZE, 'iso'))).not.toMatch(/NaN|Infinity/);
  });
});
