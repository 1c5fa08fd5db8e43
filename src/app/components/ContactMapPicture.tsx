import { For } from 'solid-js';
import type { ContactMap } from '../../contacts/contact-map.ts';
import { contactMapSvg, MAP_BAND_WORDS } from '../../report/contact-map-svg.ts';
import './contact-map.css';

/** One wall of a contact by its distance from the neighbour. */
export function ContactMapPicture(props: { readonly map: ContactMap; readonly caption: string }) {
  return (
    <figure class="contact-map">
      {/* The markup is our own: the renderer escapes every text it is given. */}
      <div innerHTML={contactMapSvg(props.map, props.caption)} />
      <figcaption>{props.caption}</figcaption>
    </figure>
  );
}

/** What the bands of a map mean; stands once beside all of them. */
export function ContactMapLegend() {
  return (
    <ul class="map-legend" aria-label="Distance to the neighbour">
      <For each={MAP_BAND_WORDS}>
        {(words, k) => (
          <li>
            <svg viewBox="0 0 14 14" aria-hidden="true">
              <path class={`cm-band cm-band-${k()}`} d="M1 1h12v12h-12Z" />
            </svg>
            {words}
          </li>
        )}
      </For>
    </ul>
  );
}
