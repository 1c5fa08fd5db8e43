import { For, Show } from 'solid-js';
import type { FitTarget } from '../../../contacts/fit-types.ts';
import {
  fitAdvice,
  fitNoteWords,
  fitReachWords,
  fitSpaceWords,
  fitStatusWords,
} from '../../../report/fit-words.ts';
import { formatMm, formatSignedMm, NO_NUMBER } from '../../../report/format-mm.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { ContactMapLegend, ContactMapPicture } from '../../components/ContactMapPicture.tsx';
import { useApp } from '../../kernel/app-context.ts';
import type { ShownSide } from '../../kernel/create-fit.ts';
import { SectionPicture } from '../contacts/SectionPicture.tsx';

/** Both sides of a restoration: what fits, what to do, where; the map on the restoration and the cut. */
export function FitSides(props: { readonly sides: readonly ShownSide[]; readonly target: FitTarget }) {
  return (
    <>
      <For each={props.sides}>{(shown) => <SideBox shown={shown} target={props.target} />}</For>
      <Show when={props.sides.some(({ view }) => view?.map)}>
        <ContactMapLegend />
      </Show>
    </>
  );
}

function SideBox(props: { readonly shown: ShownSide; readonly target: FitTarget }) {
  const { preferences } = useApp();
  const side = () => props.shown.side;
  const against = () => {
    const { neighbour } = side();
    return neighbour === null ? '' : ` against ${formatTooth(neighbour, preferences.numbering())}`;
  };
  const remarks = () =>
    [fitReachWords(side(), props.target), ...side().notes.map(fitNoteWords)].filter((words) => words !== '');
  const facts = (): readonly (readonly [string, string])[] => {
    const { addMm, heightMm, buccalMm, within20umMm2, within50umMm2, space } = side();
    if (space === null) return [];
    return [
      ['to be added (+) or taken off (−) to the middle of the target', mm(addMm, formatSignedMm)],
      ['below the occlusal plane', mm(heightMm, formatMm)],
      ['towards cheek or lip from the neighbour’s middle', mm(buccalMm, formatSignedMm)],
      ['area of the restoration within 0.02 mm, overlap included', square(within20umMm2)],
      ['area within 0.05 mm', square(within50umMm2)],
    ];
  };
  return (
    <article class="fit-side" data-side={side().side} data-status={side().status}>
      <h3>
        {side().side}
        {against()}: {fitStatusWords(side())}
      </h3>
      <Show when={fitSpaceWords(side())}>{(words) => <p class="fit-space">{words()}</p>}</Show>
      <Show when={fitAdvice(side(), props.target)}>{(advice) => <p class="fit-advice">{advice()}</p>}</Show>
      <Show when={remarks().length > 0}>
        <ul class="note-list">
          <For each={remarks()}>{(remark) => <li>{remark}</li>}</For>
        </ul>
      </Show>
      <Show when={facts().length > 0}>
        <dl class="fit-facts">
          <For each={facts()}>
            {([name, value]) => (
              <>
                <dt>{name}</dt>
                <dd>{value}</dd>
              </>
            )}
          </For>
        </dl>
      </Show>
      <Show when={props.shown.view}>
        {(view) => (
          <>
            <SectionPicture
              profile={view().section}
              contact={view().contact}
              numbering={preferences.numbering()}
            />
            <Show when={view().map}>
              {(map) => <ContactMapPicture map={map()} caption={`The restoration’s ${side().side} wall`} />}
            </Show>
          </>
        )}
      </Show>
    </article>
  );
}

function mm(value: number | null, format: (value: number) => string): string {
  return value === null ? NO_NUMBER : `${format(value)} mm`;
}

function square(value: number | null): string {
  return value === null ? NO_NUMBER : `${formatMm(value)} mm²`;
}
