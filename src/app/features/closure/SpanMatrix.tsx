import { For, Show } from 'solid-js';
import type { ClosurePlan } from '../../../closure/types.ts';
import { pairLabel } from '../../../report/contact-words.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { Meanings } from '../../components/Meanings.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { contactKey } from '../../kernel/display-types.ts';
import { SpanRow } from './SpanRow.tsx';

const PLAN_MEANINGS = [
  ['Span', 'The teeth from one end to the other that an aligner draws together; the rest of the arch stays.'],
  ['Tightening stage', 'One aligner more that only draws teeth together, by a small step.'],
  ['Stages', 'In brackets: more than the most allowed; the row then shows what the whole motion would do.'],
  [
    'Resistance',
    'How hard a tooth is to move, by the area of its root: neighbours share a motion accordingly.',
  ],
  ['Expression', 'The share of a programmed motion that happens in the mouth.'],
  [
    'Draw',
    'The plan made again with spaces and resistances moved at random within what is not known of them.',
  ],
  ['Room', 'How near the opposing crowns come along the motions, where their scan was added.'],
  ['New plan', 'More is left than tightening stages can do: the course of treatment is to be planned again.'],
] as const;

/** A row per span, a column per contact with the space by the model after the stages. */
export function SpanMatrix(props: { readonly plan: ClosurePlan }) {
  const { controller, preferences } = useApp();
  const { analysis, selected, select } = controller.results;
  const columns = () => analysis()?.contacts ?? [];
  const tooth = (number: number) => formatTooth(number, preferences.numbering());
  return (
    <Show when={props.plan.spans.length > 0}>
      <h3 class="sub-heading">Space after the motions, mm</h3>
      <section class="matrix-frame" aria-label="Spans and contacts">
        <table class="matrix">
          <caption class="visually-hidden">
            Each row is a span that is drawn together, each column a contact from the patient’s right to left.
          </caption>
          <thead>
            <tr>
              <th scope="col" class="matrix-corner">
                Span
              </th>
              <For each={columns()}>
                {(contact) => (
                  <th scope="col" data-selected={selected() === contactKey(contact)}>
                    <button
                      type="button"
                      class="matrix-contact"
                      title={`Contact ${pairLabel(contact.toothA, contact.toothB, preferences.numbering())}`}
                      onClick={() => select(contactKey(contact))}
                    >
                      <span>{tooth(contact.toothA)}</span>
                      <span>{tooth(contact.toothB)}</span>
                    </button>
                  </th>
                )}
              </For>
            </tr>
          </thead>
          <tbody>
            <For each={props.plan.spans}>{(span) => <SpanRow span={span} plan={props.plan} />}</For>
          </tbody>
        </table>
      </section>
      <ul class="matrix-legend" aria-label="Legend">
        <li>
          <span class="swatch" data-kind="inside" /> inside the span
        </li>
        <li>
          <span class="swatch" data-kind="opened">
            ▲
          </span>{' '}
          opened by the stages
        </li>
        <li>
          <span class="swatch" data-kind="left">
            ●
          </span>{' '}
          still open
        </li>
        <li>
          <b>·</b> no number from the scan, unchanged; <b>+.24</b> grows by
        </li>
      </ul>
      <Meanings title="What the words of the plan mean" entries={PLAN_MEANINGS} />
    </Show>
  );
}
