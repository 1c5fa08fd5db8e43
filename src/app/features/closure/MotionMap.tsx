import { createMemo, Show } from 'solid-js';
import type { SpanOutcome } from '../../../closure/types.ts';
import type { Analysis } from '../../../contacts/types.ts';
import { spanWords } from '../../../report/answer-words.ts';
import { archMap, renderArchMapSvg } from '../../../report/arch-map-svg.ts';
import { motionArrows } from '../../../report/motion-arrows.ts';
import { useApp } from '../../kernel/app-context.ts';
import '../contacts/arch-map.css';

const SIZE = { widthPx: 430, heightPx: 390 } as const;

/** Where a span's motions take the crowns, as arrows seen from above; drawn by the code that draws it in the report. */
export function MotionMap(props: { readonly analysis: Analysis; readonly span: SpanOutcome }) {
  const { preferences } = useApp();
  const model = createMemo(() => archMap(props.analysis, SIZE, preferences.numbering()));
  const motion = createMemo(() =>
    motionArrows(model(), props.analysis.jaw, props.span.teeth, preferences.numbering()),
  );
  const scaleWords = () =>
    motion().exaggeration === 1 ? 'true to scale' : `${motion().exaggeration} times as long as true`;
  return (
    <Show when={motion().arrows.length > 0}>
      <figure class="motion-map">
        <div innerHTML={renderArchMapSvg(model(), motion())} />
        <figcaption class="small quiet">
          Where the motions over {spanWords(props.span.from, props.span.to, preferences.numbering())} take the
          crowns, from above; arrows {scaleWords()}, arcs show turns.
        </figcaption>
      </figure>
    </Show>
  );
}
