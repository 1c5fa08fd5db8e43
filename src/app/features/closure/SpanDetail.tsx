import { For, Show } from 'solid-js';
import type { ArchEffects, SpanOutcome } from '../../../closure/types.ts';
import { spanWords, VERDICT_WORDS } from '../../../report/answer-words.ts';
import { formatDegrees, formatMm, formatSignedMm, NO_NUMBER } from '../../../report/format-mm.ts';
import { formatTooth } from '../../../teeth/notation.ts';
import { useApp } from '../../kernel/app-context.ts';
import { BeforeAfterPlot } from './BeforeAfterPlot.tsx';

/** The span that is looked at: why it is judged so, how the teeth move, what becomes of the arch. */
export function SpanDetail() {
  const { playback, preferences } = useApp();
  const headOf = ({ from, to, verdict }: SpanOutcome) =>
    `${spanWords(from, to, preferences.numbering())}: ${VERDICT_WORDS[verdict]}; reasons, motions, arch`;
  return (
    <Show when={playback.span()}>
      {(span) => (
        <details class="span-detail">
          <summary>{headOf(span())}</summary>
          <ul class="reasons">
            <For each={span().reasons}>{(reason) => <li>{reason.sentence}</li>}</For>
          </ul>
          <BeforeAfterPlot span={span()} />
          <MotionTable span={span()} />
          <Show when={span().arch}>{(arch) => <ArchTable arch={arch()} />}</Show>
        </details>
      )}
    </Show>
  );
}

function MotionTable(props: { readonly span: SpanOutcome }) {
  const { preferences } = useApp();
  return (
    <Show when={props.span.teeth.length > 0}>
      <table class="motion-table">
        <caption>Needed motion of each tooth (mesial and outward positive)</caption>
        <thead>
          <tr>
            <th scope="col">Tooth</th>
            <th scope="col" class="number">
              Mesial, mm
            </th>
            <th scope="col" class="number">
              Outward, mm
            </th>
            <th scope="col" class="number">
              Turn, °
            </th>
          </tr>
        </thead>
        <tbody>
          <For each={props.span.teeth}>
            {(motion) => (
              <tr>
                <th scope="row">{formatTooth(motion.tooth, preferences.numbering())}</th>
                <td class="number">{formatSignedMm(motion.mesialMm)}</td>
                <td class="number">{formatSignedMm(motion.buccalMm)}</td>
                <td class="number">{formatDegrees(motion.rotationRad)}</td>
              </tr>
            )}
          </For>
        </tbody>
      </table>
    </Show>
  );
}

function ArchTable(props: { readonly arch: ArchEffects }) {
  const rows = () =>
    [
      ['Perimeter', props.arch.perimeterChangeMm],
      ['Depth', props.arch.depthChangeMm],
      ['Width between the canines', props.arch.canineWidthChangeMm],
      ['Width between the molars', props.arch.molarWidthChangeMm],
      ['Midline, to the patient’s left', props.arch.midlineShiftMm],
    ] as const;
  return (
    <dl class="facts arch-facts">
      <For each={rows()}>
        {([name, value]) => (
          <>
            <dt>{name}</dt>
            <dd class="number">{value === null ? NO_NUMBER : `${formatSignedMm(value)} mm`}</dd>
          </>
        )}
      </For>
      <dt>Largest motion</dt>
      <dd class="number">{formatMm(props.arch.largestMotionMm)} mm</dd>
    </dl>
  );
}
