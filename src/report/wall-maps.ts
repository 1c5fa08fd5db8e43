import type { ContactMap } from '../contacts/contact-map.ts';
import { contactMapSvg, MAP_BAND_WORDS } from './contact-map-svg.ts';
import { escapeText } from './escape-text.ts';

/** One wall of a contact and what it is called. */
export interface NamedMap {
  readonly map: ContactMap;
  readonly caption: string;
}

/** Walls of one contact beside each other in a record, with the meaning of their bands. Empty without any. */
export function wallMaps(maps: readonly NamedMap[]): string {
  if (maps.length === 0) return '';
  const walls = maps.map(({ map, caption }) => {
    const words = escapeText(caption);
    return `<div class="wall">${contactMapSvg(map, caption)}<p>${words}</p></div>`;
  });
  const legend = MAP_BAND_WORDS.map(
    (words, k) =>
      `<li><svg viewBox="0 0 14 14" aria-hidden="true"><path class="cm-band cm-band-${k}" d="M1 1h12v12h-12Z"/></svg>${words}</li>`,
  );
  return `<div class="walls">${walls.join('')}<div class="wall-legend"><p>distance to the neighbour</p><ul>${legend.join('')}</ul></div></div>`;
}
