import { JSDOM } from 'jsdom';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { fitRestoration } from '../../src/contacts/fit-restoration.ts';
import type { FitSide } from '../../src/contacts/fit-types.ts';
import { fitView } from '../../src/contacts/fit-view.ts';
import { writeFitCsv } from '../../src/report/fit-csv.ts';
import { writeFitHtml } from '../../src/report/fit-html.ts';
import { writeFitJson } from '../../src/report/fit-json.ts';
import { ballScene, TARGET } from '../helpers/ball-restoration.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';

const NONE: FitSide = {
  side: 'distal',
  neighbour: null,
  status: 'no-neighbour',
  space: null,
  deeperThanMm: null,
  atMostMm: null,
  addMm: null,
  neighbourIsFirst: true,
  closingDirection: null,
  ends: null,
  point: null,
  heightMm: null,
  buccalMm: null,
  within20umMm2: null,
  within50umMm2: null,
  notes: ['site'],
};
const DEEP: FitSide = {
  ...NONE,
  side: 'mesial',
  neighbour: 21,
  status: 'too-tight',
  deeperThanMm: 0.9,
  notes: ['deeper-than-measured'],
};
const [source] = threeSpaces().sources;
const record = {
  tooth: 11,
  restoration: { ...source!, fileName: '<crown>.stl' },
  scan: source!,
  originMm: [0, 0, 0] as const,
  target: { wideMm: 0, tightMm: -0.03 },
  sides: [NONE, DEEP],
  views: [null, null],
  warnings: [{ code: 'X', sentence: 'a < b' }],
};

describe('the files of a fit', () => {
  it('say what is known and leave empty what is not', () => {
    const html = writeFitHtml(record, { numbering: 'iso', version: '1', createdAt: '2026-01-01T00:00:00Z' });
    expect(html).toContain('overlap deeper than 0.90');
    expect(html).toContain('&lt;crown&gt;.stl');
    expect(html).toContain('a &lt; b');
    expect(html).not.toMatch(/NaN|undefined|null|<crown>/);
    // The caution about proposals stands beside plans alone.
    expect(html).not.toContain('The proposal is arithmetic');
    expect(html).toContain('licensed clinician decides');
    const rows = Papa.parse<Record<string, string>>(writeFitCsv(11, record.sides).trimEnd(), {
      header: true,
    });
    expect(rows.data[1]).toMatchObject({
      status: 'too-tight',
      deeper_than_mm: '0.9',
      space_mm: '',
      add_mm: '',
    });
    expect(rows.data[0]).toMatchObject({ neighbour: '', note: 'site' });
    const json = JSON.parse(writeFitJson(record, { version: '1' }));
    expect(json.sides[1]).toMatchObject({ deeper_than_mm: 0.9, contact_area_20um_mm2: null });
  });

  it('draws the cut and the wall of every side with the number of the table, and no wall without a number', async () => {
    const { restoration, scan } = ballScene(0.2, -1.5);
    const sides = await fitRestoration(restoration, 24, scan, TARGET);
    const views = sides.map((side) => fitView(restoration, 24, scan, side));
    const about = { numbering: 'iso', version: '1', createdAt: '2026-01-01T00:00:00Z' } as const;
    const html = writeFitHtml({ ...record, tooth: 24, sides, views }, about);
    const { document } = new JSDOM(html).window;
    const figures = [...document.querySelectorAll('figure.cut')];
    expect(figures.map((figure) => figure.querySelector('h3')!.textContent)).toEqual([
      'mesial against 23, open',
      'distal against 25, too tight',
    ]);
    const tableRow = document.querySelector('tbody tr')!;
    const [mesial, deep] = figures as [Element, Element];
    expect(mesial.querySelector('.big')!.textContent).toBe(`${tableRow.children[3]!.textContent} mm`);
    expect(mesial.querySelector('svg.sp .sp-value')!.textContent).toBe(
      mesial.querySelector('.big')!.textContent!.replace('+', ''),
    );
    expect(mesial.querySelectorAll('svg.cm')).toHaveLength(1);
    expect(deep.querySelectorAll('svg.sp')).toHaveLength(1);
    expect(deep.querySelectorAll('svg.cm')).toHaveLength(0);
    expect(document.querySelectorAll('script, img, link')).toHaveLength(0);
  });
});
