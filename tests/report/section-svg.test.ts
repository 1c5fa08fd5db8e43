import { describe, expect, it } from 'vitest';
import { renderSectionSvg } from '../../src/report/render-section-svg.ts';
import { sectionPicture } from '../../src/report/section-svg.ts';
import { makeContact, makeSection } from '../helpers/make-analysis.ts';

const SIZE = { widthPx: 560, heightPx: 262 };
const open = makeContact(13, 12, { status: 'open', gapMm: 0.25, u95Mm: 0.034 });

describe('sectionPicture', () => {
  const model = sectionPicture(makeSection(open, 0.25), open, SIZE, 'iso');
  const [profile, lens] = model.panels;

  it('shows the profile and a lens on the closest place', () => {
    expect(model.panels.map(({ kind }) => kind)).toEqual(['profile', 'lens']);
    expect(profile!.lensMark).not.toBeNull();
    expect(profile!.teeth.map(({ label }) => label?.text)).toEqual(['13', '12']);
    expect(profile!.teeth[0]!.label!.x).toBeLessThan(profile!.teeth[1]!.label!.x);
  });

  it('draws the two points as far apart as the space is wide, to scale, in both panels', () => {
    for (const panel of model.panels) {
      const [a, b] = panel.points;
      expect(Math.hypot(b!.x - a!.x, b!.y - a!.y) / panel.pxPerMm).toBeCloseTo(0.25, 6);
      expect(a!.x).toBeLessThan(b!.x);
    }
    expect(lens!.pxPerMm).toBeGreaterThan(3 * profile!.pxPerMm);
  });

  it('writes the dimension with its interval and scale bars of round lengths', () => {
    expect(lens!.dimension!.label.text).toBe('0.25 ± 0.03 mm');
    expect(profile!.dimension).toBeNull();
    expect(profile!.scaleBar).toMatchObject({ label: '1 mm', lengthPx: profile!.pxPerMm });
    expect(lens!.scaleBar.lengthPx / lens!.pxPerMm).toBeCloseTo(Number.parseFloat(lens!.scaleBar.label), 9);
  });

  it('keeps crowns up: a higher v is higher in the picture', () => {
    const tall = makeSection(open, 0.25);
    const flipped = { ...tall, a: [-0.125, 1] as const, b: [0.125, 1] as const };
    const moved = sectionPicture(flipped, open, SIZE, 'iso').panels[0]!;
    expect(moved.points[0]!.y).toBeLessThan(profile!.points[0]!.y);
  });

  it('writes the dimension into the profile where there is no room for a lens', () => {
    const small = sectionPicture(makeSection(open, 0.25), open, { widthPx: 320, heightPx: 260 }, 'iso');
    expect(small.panels).toHaveLength(1);
    expect(small.panels[0]!.dimension!.label.text).toBe('0.25 ± 0.03 mm');
  });

  it('puts the lens with the fitted walls below the profile in a narrow picture that is high enough', () => {
    const size = { widthPx: 360, heightPx: 432 };
    const [whole, magnified] = sectionPicture(makeSection(open, 0.25), open, size, 'iso').panels;
    expect(magnified!.kind).toBe('lens');
    expect(magnified!.frame.y).toBeGreaterThan(whole!.frame.y + whole!.frame.heightPx);
    expect(magnified!.frame.y + magnified!.frame.heightPx).toBeCloseTo(size.heightPx, 9);
    expect([whole!.frame.widthPx, magnified!.frame.widthPx]).toEqual([360, 360]);
    expect([whole!.dimension, magnified!.dimension?.label.text]).toEqual([null, '0.25 ± 0.03 mm']);
  });

  it('gives a bridged contact neither points nor dimension, and says why', () => {
    const bridged = makeContact(17, 16, { status: 'bridged' });
    const picture = sectionPicture(makeSection(bridged, 0.02), bridged, SIZE, 'iso');
    expect(picture.panels).toHaveLength(1);
    expect(picture.panels[0]!.points).toEqual([]);
    expect(picture.panels[0]!.dimension).toBeNull();
    expect(picture.remark).toMatch(/runs across/);
  });

  it('says when the picture shows less than the whole distance', () => {
    const slanted = { ...makeSection(open, 0.25), outOfPlaneMm: 0.2 };
    expect(sectionPicture(slanted, open, SIZE, 'iso').remark).toMatch(/0\.20 mm apart across the cut/);
    expect(model.remark).toBe('');
  });

  it('draws the fitted walls in the lens, only where the scan shows a wall', () => {
    const base = makeSection(open, 0.25);
    const wall = base.linesB[0]!;
    const near = wall.slice(30, 50);
    const fitted = { ...base, fitA: [-5, -9, -5, -8, -5, -7], fitB: [...near, 5, -9, 5, -8] };
    const [whole, magnified] = sectionPicture(fitted, open, SIZE, 'iso').panels;
    expect(whole!.fits).toEqual([]);
    expect(magnified!.fits.map(({ which }) => which)).toEqual(['B']);
    expect(magnified!.captions.map(({ text }) => text)).toEqual(['band: fitted wall']);
  });

  it('survives a cut that met nothing', () => {
    const empty = { ...makeSection(open, 0.25), linesA: [], linesB: [], linesGum: [] };
    expect(renderSectionSvg(sectionPicture(empty, open, SIZE, 'iso'), 'x')).not.toMatch(
      /NaN|undefined|Infinity/,
    );
  });
});

describe('renderSectionSvg', () => {
  it('uses its own names for clips and masks, so that pictures can repeat on a page', () => {
    const model = sectionPicture(makeSection(open, 0.25), open, SIZE, 'iso');
    const svg = renderSectionSvg(model, 's4');
    expect(svg).toContain('id="s40c"');
    expect(svg).toContain('url(#s41m)');
    expect(svg).toContain('aria-label="Section through 13-12 open, 0.25 ± 0.03 mm"');
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });
});
