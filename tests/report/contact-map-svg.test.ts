import { describe, expect, it } from 'vitest';
import { MAP_LEVELS_MM } from '../../src/contacts/contact-map.ts';
import { contactMapSvg, MAP_BAND_WORDS } from '../../src/report/contact-map-svg.ts';

const bands = MAP_LEVELS_MM.map((toMm, k) => ({
  fromMm: MAP_LEVELS_MM[k - 1] ?? null,
  toMm,
  pieces: k === 2 ? [[0, 0, 5, 0, 0, 5]] : [],
}));

describe('contactMapSvg', () => {
  it('draws what is near, makes room for it, and escapes its title', () => {
    const svg = contactMapSvg({ outline: [-9, 0, 9, 0, 0, 9], bands, point: [0, 0] }, 'a < b');
    expect(svg).toContain('aria-label="a &lt; b"');
    expect(svg.match(/cm-band /g)).toHaveLength(1);
    expect(svg).toContain('cm-band-2');
    // 3.5 mm to the left of the place and 5.4 to the right, 32 px each.
    expect(svg).toContain(`viewBox="0 0 ${8.9 * 32} ${8.9 * 32 + 26}"`);
    expect(svg).not.toContain('NaN');
  });

  it('has a word for every band, and does without a place or an outline', () => {
    expect(MAP_BAND_WORDS).toHaveLength(MAP_LEVELS_MM.length);
    const svg = contactMapSvg({ outline: null, bands: [], point: null }, 'nothing');
    expect(svg).not.toMatch(/cm-place|cm-crown|NaN/);
  });
});
