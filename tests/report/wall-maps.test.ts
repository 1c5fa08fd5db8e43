import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import type { ContactMap } from '../../src/contacts/contact-map.ts';
import { MAP_BAND_WORDS } from '../../src/report/contact-map-svg.ts';
import { wallMaps } from '../../src/report/wall-maps.ts';

const MAP: ContactMap = {
  outline: [-3, -3, 3, -3, 3, 3],
  bands: [{ fromMm: null, toMm: 0, pieces: [[0, 0, 1, 0, 0, 1]] }],
  point: [0, 0],
};

describe('wallMaps', () => {
  it('draws every wall under its own name, escaped, and tells what the bands mean once', () => {
    const html = wallMaps([
      { map: MAP, caption: '11 <b>' },
      { map: { ...MAP, bands: [] }, caption: '21' },
    ]);
    const { document } = new JSDOM(html).window;
    const captions = [...document.querySelectorAll('.wall p')].map((caption) => caption.textContent);
    expect(captions).toEqual(['11 <b>', '21']);
    expect(document.querySelectorAll('.wall svg.cm')).toHaveLength(2);
    expect(document.querySelectorAll('.wall .cm-band-0')).toHaveLength(1);
    const legend = [...document.querySelectorAll('.wall-legend li')].map((entry) => entry.textContent);
    expect(legend).toEqual([...MAP_BAND_WORDS]);
  });

  it('is nothing without walls', () => {
    expect(wallMaps([])).toBe('');
  });
});
