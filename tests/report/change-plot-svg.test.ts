import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { compareContacts } from '../../src/contacts/compare-contacts.ts';
import { renderChangePlotSvg } from '../../src/report/change-plot-svg.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

describe('renderChangePlotSvg', () => {
  const before = makeAnalysis({ contacts: { '13-12': { status: 'open', gapMm: 0.5, u95Mm: 0.03 } } });
  const after = makeAnalysis({ contacts: { '13-12': { status: 'open', gapMm: 0.2, u95Mm: 0.03 } } });
  const svg = renderChangePlotSvg(
    compareContacts(before, after, [], null, true),
    { widthPx: 800, heightPx: 260 },
    'iso',
  );
  const document = new JSDOM(svg, { contentType: 'image/svg+xml' }).window.document;

  it('draws before hollow and now solid, the smaller space lower', () => {
    const group = [...document.querySelectorAll('g')].find((g) =>
      g.querySelector('title')?.textContent?.startsWith('13-12'),
    )!;
    const height = (cls: string) =>
      Number(/^M[\d.]+ ([\d.]+)a/.exec(group.querySelector(cls)!.getAttribute('d')!)![1]);
    expect(height('.cp-filled')).toBeGreaterThan(height('.cp-hollow'));
  });

  it('draws a bar for each web and the limit once', () => {
    expect(document.querySelectorAll('.cp-band')).toHaveLength(24);
    expect(document.querySelectorAll('.cp-limit')).toHaveLength(1);
    expect(svg).not.toMatch(/NaN|undefined/);
  });
});
