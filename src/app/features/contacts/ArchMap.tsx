import { createMemo, For } from 'solid-js';
import type { Analysis } from '../../../contacts/types.ts';
import { archMap, renderArchMapSvg } from '../../../report/arch-map-svg.ts';
import { groupName } from '../../components/group-name.ts';
import { PlacedRadio } from '../../components/PlacedRadio.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';
import { chooseContact } from './choose-contact.ts';
import './arch-map.css';

const SIZE = { widthPx: 430, heightPx: 390 } as const;
/** A choice reaches this far round its contact, px of the picture. */
const REACH_PX = 14;

/** The crowns seen from above with what was found between them, drawn by the code that draws it in the report. */
export function ArchMap(props: { readonly analysis: Analysis }) {
  const state = useApp();
  const { controller, preferences } = state;
  const { selected } = controller.results;
  const group = groupName();
  const model = createMemo(() => archMap(props.analysis, SIZE, preferences.numbering()));
  const keyOf = (index: number) => {
    const contact = props.analysis.contacts[index];
    return contact === undefined ? null : contactKey(contact);
  };
  return (
    <figure class="arch-map">
      {/* The markup is our own: the report's renderer escapes every text it is given. */}
      <div class="arch-map-drawing" innerHTML={renderArchMapSvg(model())} />
      <fieldset class="arch-map-choices">
        <legend class="visually-hidden">{model().title} Each contact can be chosen.</legend>
        <For each={model().contacts}>
          {(contact) => (
            <PlacedRadio
              class="arch-map-choice"
              group={group}
              label={contact.title}
              place={placeOf(contact)}
              checked={keyOf(contact.index) === selected()}
              onSelect={(on) => chooseContact(state, on ? keyOf(contact.index) : null, { stay: true })}
            />
          )}
        </For>
      </fieldset>
    </figure>
  );
}

/** Shares of the picture, so that a choice stays on its contact at any size. */
function placeOf({ x, y }: { readonly x: number; readonly y: number }) {
  const share = (value: number, whole: number) => `${((100 * value) / whole).toFixed(2)}%`;
  return {
    left: share(x - REACH_PX, SIZE.widthPx),
    top: share(y - REACH_PX, SIZE.heightPx),
    width: share(2 * REACH_PX, SIZE.widthPx),
    height: share(2 * REACH_PX, SIZE.heightPx),
  };
}
