import { For, Show } from 'solid-js';
import type { PlannedContact, SpanOutcome } from '../../../closure/types.ts';
import { pairLabel } from '../../../report/contact-words.ts';
import { formatMm } from '../../../report/format-mm.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { useApp } from '../../kernel/app-context.ts';

const WIDTH = 430;
const HEIGHT = 132;
const LEFT = 30;
const TOP = 8;
const FLOOR = 100;
/** A change below this prints as nothing. */
const SHOWS_MM = 0.005;

/** Every contact of the arch before (ring) and after (dot) the motions of one span, on a millimetre axis. */
export function BeforeAfterPlot(props: { readonly span: SpanOutcome }) {
  const { controller, preferences } = useApp();
  const limit = () => controller.inputs().limitMm;
  const scheme = () => preferences.numbering();
  const places = () => props.span.contacts;
  const top = () =>
    Math.max(
      2 * limit(),
      ...places().map((contact) => Math.max(contact.beforeMm ?? 0, contact.afterMm)),
      0.2,
    );
  const x = (index: number) => LEFT + ((index + 0.5) * (WIDTH - LEFT - 6)) / Math.max(1, places().length);
  const y = (mm: number) => FLOOR - (Math.max(0, mm) / top()) * (FLOOR - TOP);
  const changes = (contact: PlannedContact) =>
    Math.abs(contact.afterMm - (contact.countedMm ?? contact.beforeMm ?? 0)) >= SHOWS_MM;
  /** Without a measured space there is nothing to draw unless the motions open one. */
  const drawn = (contact: PlannedContact) =>
    contact.status !== 'missing-tooth' && (contact.beforeMm !== null || changes(contact));
  const words = (contact: PlannedContact) =>
    `${pairLabel(contact.toothA, contact.toothB, scheme())}: ${
      contact.beforeMm === null ? 'no number' : formatMm(contact.beforeMm)
    } before, ${formatMm(contact.afterMm)} after`;
  return (
    <figure class="before-after">
      <svg
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={`Spaces before and after, mm. ${places().filter(drawn).map(words).join('; ')}`}
      >
        <line class="axis" x1={LEFT} x2={WIDTH} y1={FLOOR} y2={FLOOR} />
        <line class="limit" x1={LEFT} x2={WIDTH} y1={y(limit())} y2={y(limit())} />
        <text class="tick" x={LEFT - 4} y={FLOOR + 3}>
          0
        </text>
        <text class="tick" x={LEFT - 4} y={y(limit()) + 3}>
          {formatMm(limit())}
        </text>
        <Show when={top() > 3 * limit()}>
          <text class="tick" x={LEFT - 4} y={TOP + 4}>
            {formatMm(top())}
          </text>
        </Show>
        <For each={places()}>
          {(contact, i) => (
            <g data-opened={contact.opened}>
              <text class="pair" x={x(i())} y={FLOOR + 14}>
                {formatTooth(contact.toothA, scheme())}
              </text>
              <text class="pair" x={x(i())} y={FLOOR + 25}>
                {formatTooth(contact.toothB, scheme())}
              </text>
              <Show when={drawn(contact)}>
                <line
                  class="stem"
                  x1={x(i())}
                  x2={x(i())}
                  y1={y(contact.beforeMm ?? 0)}
                  y2={y(contact.afterMm)}
                />
                <Show when={contact.beforeMm !== null}>
                  <circle class="before" cx={x(i())} cy={y(contact.beforeMm ?? 0)} r={3.5} />
                </Show>
                <circle class="after" cx={x(i())} cy={y(contact.afterMm)} r={3.5} />
              </Show>
            </g>
          )}
        </For>
      </svg>
      <figcaption class="small quiet">
        Ring: measured; dot: after the motions, mm; line: the limit. Contacts without a number are drawn only
        where the motions open them.
      </figcaption>
    </figure>
  );
}
