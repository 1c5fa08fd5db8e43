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
    expect(model.teeth.map(({ sizeMeasured }) => sizeMeasured).indexOf(false)).toBe(0);
  });
});

describe('renderArchMapSvg', () => {
  it('holds every tooth number and no bad numbers', () => {
    const svg = renderArchMapSvg(archMap(threeSpaces(), SIZE, 'universal'));
    for (let number = 2; number <= 15; number++) expect(svg).toContain(`>${number}</text>`);
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('draws one tooth alone', () => {
    expect(renderArchMapSvg(archMap(makeAnalysis({ teeth: [11] }), SIZE, 'iso'))).not.toMatch(/NaN|Infinity/);
  });
});
