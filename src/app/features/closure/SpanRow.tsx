import { For, Show } from 'solid-js';
import type { ClosurePlan, PlannedContact, SpanOutcome } from '../../../closure/types.ts';
import { spanWords, VERDICT_WORDS } from '../../../report/answer-words.ts';
import { formatMm, NO_NUMBER } from '../../../report/format-mm.ts';
import { useApp } from '../../kernel/app-context.ts';
import { spanKey } from '../../kernel/create-playback.ts';

/** One span: its name and stages, and the space after them at every contact. */
export function SpanRow(props: { readonly span: SpanOutcome; readonly plan: ClosurePlan }) {
  const { playback, preferences } = useApp();
  const key = () => spanKey(props.span);
  const proposed = () => {
    const { proposal } = props.plan;
    return proposal !== null && spanKey(proposal) === key();
  };
  const shown = () => {
    const span = playback.span();
    return span !== null && spanKey(span) === key();
  };
  const remains = () => props.span.reasons.find(({ code }) => code === 'REMAINS_AFTER_MOST_STAGES')?.sentence;
  const stages = () => {
    if (props.span.stages === 0) return NO_NUMBER;
    if (props.span.stages !== null) return `${props.span.stages} st.`;
    if (props.span.stagesNeeded === null) return NO_NUMBER;
    const { proposal } = props.plan;
    return proposed() && proposal
      ? `${proposal.stages} of ${props.span.stagesNeeded} st.`
      : `${props.span.stagesNeeded} st., > ${props.plan.settings.maxStages}`;
  };
  return (
    <tr data-proposed={proposed()} data-shown={shown()}>
      <th scope="row">
        <button
          type="button"
          class="matrix-span"
          aria-pressed={shown()}
          title={remains() ?? VERDICT_WORDS[props.span.verdict]}
          onClick={() => playback.chooseSpan(key())}
        >
          <span class="span-name">{spanWords(props.span.from, props.span.to, preferences.numbering())}</span>
          <span class="span-stages">
            <Show when={proposed()}>
              <span class="proposed-mark">proposed</span>
            </Show>
            {stages()}
          </span>
        </button>
      </th>
      <For each={props.span.contacts}>
        {(contact) => <MatrixCell contact={contact} limitMm={props.plan.settings.limitMm} />}
      </For>
    </tr>
  );
}

function MatrixCell(props: { readonly contact: PlannedContact; readonly limitMm: number }) {
  const left = () => !props.contact.opened && props.contact.afterMm > props.limitMm;
  const counted = () => props.contact.beforeMm === null;
  const site = () => props.contact.status === 'missing-tooth';
  return (
    <td
      class="matrix-cell"
      data-inside={props.contact.insideSpan}
      data-opened={props.contact.opened}
      data-left={left()}
      data-counted={counted()}
    >
      <Show when={!site()} fallback={<span title="edentulous space">·</span>}>
        <Show when={props.contact.opened}>
          <span class="cell-mark" aria-hidden="true">
            ▲
          </span>
          <span class="visually-hidden">opened: </span>
        </Show>
        <Show when={left()}>
          <span class="cell-mark" aria-hidden="true">
            ●
          </span>
          <span class="visually-hidden">still open: </span>
        </Show>
        <span title={isUnseen(props.contact) ? 'the scan gives no number here' : undefined}>
          {cellText(props.contact)}
        </span>
      </Show>
    </td>
  );
}

/** The scan gives no number and floss said none: only a change can be told. */
function isUnseen(contact: PlannedContact): boolean {
  return contact.beforeMm === null && (contact.countedMm ?? 0) === 0;
}

/** The space after; where the scan gives no number a quiet mark, or by how much it grows: `+.24`. */
function cellText(contact: PlannedContact): string {
  if (!isUnseen(contact)) return shortMm(contact.afterMm);
  const growth = shortMm(contact.afterMm);
  return growth === '0' ? '·' : contact.afterMm > 0 ? `+${growth}` : growth;
}

/** `.31`, `1.20`, `0`: thirteen columns have to fit beside each other. */
function shortMm(value: number): string {
  const text = formatMm(value);
  if (text === '0.00') return '0';
  return text.replace(/^(-?)0\./, '$1.');
}
