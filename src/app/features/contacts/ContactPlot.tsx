import { createMemo, For, Show } from 'solid-js';
import type { ContactStatus } from '../../../contacts/types.ts';
import { contactPlot, type PlotMark } from '../../../report/contact-plot-svg.ts';
import { formatMm } from '../../../report/format-mm.ts';
import { groupName } from '../../components/group-name.ts';
import { PlacedRadio } from '../../components/PlacedRadio.tsx';
import { type ContactPlotProps, contactKey } from '../../kernel/display-types.ts';
import { type BoxSize, createSize } from '../../view/create-size.ts';
import { fitPlotLabels, type TextOf } from './fit-plot-labels.ts';
import './contact-plot.css';

/** Narrower than this the plot keeps its width and scrolls: a contact has to be large enough to be hit (WCAG 2.5.8). */
const LEAST_CONTACT_PX = 24;
const AXIS_PX = 44;
const LEAST_HEIGHT_PX = 170;
const UNSEEN_SIZE = { widthPx: 880, heightPx: 240 };
const VALUE_FONT_PX = 12;
const SHORT_VALUE_FONT_PX = 10.5;
/** Words smaller than this are left out rather than shrunk; the mark's shape and title remain. */
const LEAST_WORD_PX = 10;
/** Where words do not all fit, these are told by their marks alone. */
const QUIET: ReadonlySet<ContactStatus> = new Set(['bridged', 'closed', 'missing-tooth', 'not-measurable']);

/**
 * The contact plot, drawn from the layout that the report uses too. The picture is for the eye; over each column lies
 * a transparent radio button, so that keyboards, pointers and screen readers get what the browser gives any choice.
 */
export function ContactPlot(props: ContactPlotProps) {
  let box!: HTMLDivElement;
  const size = createSize(() => box, UNSEEN_SIZE);
  return (
    <figure class="contact-plot">
      <div class="contact-plot-box" ref={box}>
        <Show when={size()}>{(known) => <Drawing {...props} size={known()} />}</Show>
      </div>
      <Key />
    </figure>
  );
}

/** Picture and choices at the size that there is. */
function Drawing(props: ContactPlotProps & { readonly size: BoxSize }) {
  const group = groupName();
  const model = createMemo(() =>
    contactPlot(
      props.analysis,
      {
        widthPx: Math.max(
          props.size.widthPx,
          AXIS_PX + LEAST_CONTACT_PX * (props.analysis.contacts.length + 1),
        ),
        heightPx: Math.max(props.size.heightPx, LEAST_HEIGHT_PX),
      },
      props.numbering,
    ),
  );
  const selectedIndex = (): number | null =>
    model().marks.find((mark) => contactKey(mark) === props.selected)?.index ?? null;
  /** Every second "bridged" would look as if those between were something else: all of them or none. */
  const withoutQuiet = (indices: Set<number>): void => {
    for (const { status, index } of model().marks) {
      if (QUIET.has(status) && index !== selectedIndex()) indices.delete(index);
    }
  };
  /**
   * As they are; where they do not all fit, the upper bounds in short and small; where those do not fit either, none of
   * them: every second one missing would puzzle.
   */
  const values = createMemo(() => {
    const { marks } = model();
    const fitted = (textOf: TextOf, fontPx: number) => ({
      textOf,
      indices: fitPlotLabels(marks, textOf, selectedIndex(), fontPx),
      short: textOf === shortValue,
    });
    const wanted = marks.filter((mark) => mark.valueLabel !== null).length;
    const full = fitted((mark) => mark.valueLabel, VALUE_FONT_PX);
    if (full.indices.size === wanted) return full;
    const short = fitted(shortValue, SHORT_VALUE_FONT_PX);
    if (short.indices.size < wanted) withoutQuiet(short.indices);
    return short;
  });
  const wordSizePx = () => Math.max(model().statusFontPx, LEAST_WORD_PX);
  const words = createMemo(() => {
    const { marks } = model();
    const fitting = fitPlotLabels(marks, (mark) => mark.statusLabel, selectedIndex(), wordSizePx());
    if (fitting.size === marks.length) return fitting;
    withoutQuiet(fitting);
    return fitting;
  });

  return (
    <>
      <svg
        class="contact-plot-drawing"
        classList={{ short: values().short }}
        width={model().widthPx}
        height={model().heightPx}
        viewBox={`0 0 ${model().widthPx} ${model().heightPx}`}
        style={{ '--status-size': `${wordSizePx()}px` }}
        aria-hidden="true"
      >
        <Ground model={model()} />
        <For each={model().marks}>
          {(mark) => (
            <Mark
              mark={mark}
              selected={contactKey(mark) === props.selected}
              value={values().indices.has(mark.index) ? values().textOf(mark) : null}
              word={words().has(mark.index)}
            />
          )}
        </For>
        <text
          class="contact-plot-limit-label"
          x={model().limit.labelX}
          y={model().limit.labelY}
          text-anchor={model().limit.anchor}
        >
          {model().limit.label}
        </text>
      </svg>
      <fieldset class="contact-plot-choices">
        <legend class="contact-plot-summary">
          Contact plot. {model().summary} Limit {formatMm(props.analysis.settings.limitMm)} mm.
        </legend>
        <For each={model().marks}>
          {(mark) => (
            <PlacedRadio
              class="contact-plot-choice"
              group={group}
              label={mark.title}
              place={pixels(mark.column)}
              checked={contactKey(mark) === props.selected}
              onSelect={(on) => props.onSelect(on ? contactKey(mark) : null)}
            />
          )}
        </For>
      </fieldset>
    </>
  );
}

function pixels({ x, y, widthPx, heightPx }: PlotMark['column']) {
  return { left: `${x}px`, top: `${y}px`, width: `${widthPx}px`, height: `${heightPx}px` };
}

/** What whisker and hatching mean. */
function Key() {
  return (
    <figcaption class="contact-plot-key">
      <span>
        <svg viewBox="0 0 14 14" aria-hidden="true">
          <path class="contact-plot-whisker" d="M7 1V13M4.5 1H9.5M4.5 13H9.5" />
        </svg>
        95 % interval
      </span>
      <span>
        <svg viewBox="0 0 14 14" aria-hidden="true">
          <path class="contact-plot-band" d="M3 1H11V13H3Z" />
          <path class="contact-plot-hatch" d="M3 7L9 1M3 13L11 5" />
        </svg>
        could hide there
      </span>
    </figcaption>
  );
}

/** Axis, limit, midline and the row of teeth. */
function Ground(props: { readonly model: ReturnType<typeof contactPlot> }) {
  const frame = () => props.model.frame;
  return (
    <g>
      <For each={props.model.ticks}>
        {(tick) => (
          <>
            <line
              class="contact-plot-grid"
              classList={{ zero: tick.isZero }}
              x1={frame().left}
              x2={frame().right}
              y1={tick.y}
              y2={tick.y}
            />
            <text class="contact-plot-tick" x={frame().left - 7} y={tick.y + 3.5}>
              {tick.label}
            </text>
          </>
        )}
      </For>
      <text class="contact-plot-title" x={props.model.axisTitle.x} y={props.model.axisTitle.y}>
        {props.model.axisTitle.text}
      </text>
      <Show when={props.model.midlineX !== null}>
        <line
          class="contact-plot-midline"
          x1={props.model.midlineX!}
          x2={props.model.midlineX!}
          y1={frame().top - 12}
          y2={frame().bottom}
        />
      </Show>
      <line
        class="contact-plot-limit"
        x1={frame().left}
        x2={frame().right}
        y1={props.model.limit.y}
        y2={props.model.limit.y}
      />
      <For each={props.model.teeth}>
        {(tooth, i) => (
          <>
            <rect
              class="contact-plot-tooth"
              classList={{ missing: tooth.missing, second: i() % 2 === 1 }}
              x={tooth.x}
              y={tooth.y}
              width={tooth.widthPx}
              height={tooth.heightPx}
              rx="4"
            />
            <text class="contact-plot-tooth-label" x={tooth.x + tooth.widthPx / 2} y={tooth.y + 15}>
              {tooth.label}
            </text>
          </>
        )}
      </For>
      <For each={props.model.sides}>
        {(side) => (
          <text class="contact-plot-side" x={side.x} y={side.y} text-anchor={side.anchor}>
            {side.text}
          </text>
        )}
      </For>
    </g>
  );
}

/** An upper bound without its leading zero: `≤.36`. What was measured stays as it is. */
function shortValue({ status, valueLabel }: PlotMark): PlotMark['valueLabel'] {
  if (valueLabel === null || !QUIET.has(status)) return valueLabel;
  return { ...valueLabel, text: valueLabel.text.replace(/^≤ 0\./, '≤.') };
}

interface MarkProps {
  readonly mark: PlotMark;
  readonly selected: boolean;
  /** Its value, where there is room for it. */
  readonly value: PlotMark['valueLabel'];
  /** Whether there is room for its word. */
  readonly word: boolean;
}

/** One contact: column, whisker or band, mark, value, word. */
function Mark(props: MarkProps) {
  const mark = () => props.mark;
  return (
    <g class={`contact-plot-mark contact-plot-${mark().status}`} classList={{ selected: props.selected }}>
      <rect
        class="contact-plot-column"
        x={mark().column.x}
        y={mark().column.y}
        width={mark().column.widthPx}
        height={mark().column.heightPx}
        rx="4"
      />
      <Show when={mark().bound}>
        {(bound) => (
          <>
            <rect
              class="contact-plot-band"
              x={bound().x}
              y={bound().y}
              width={bound().widthPx}
              height={bound().heightPx}
            />
            <path class="contact-plot-hatch" d={bound().hatch} />
            <line
              class="contact-plot-cap"
              x1={bound().x - 2}
              x2={bound().x + bound().widthPx + 2}
              y1={bound().y}
              y2={bound().y}
            />
          </>
        )}
      </Show>
      <Show when={mark().whisker}>
        {(whisker) => <path class="contact-plot-whisker" d={whiskerPath(mark().x, whisker())} />}
      </Show>
      <Show when={mark().symbol}>
        {(symbol) => (
          <path class="contact-plot-symbol" classList={{ filled: symbol().filled }} d={symbol().path} />
        )}
      </Show>
      <Show when={props.value}>
        {(label) => (
          <text class="contact-plot-value" x={label().x} y={label().y}>
            {label().text}
          </text>
        )}
      </Show>
      <Show when={props.word}>
        <text class="contact-plot-status" x={mark().statusLabel.x} y={mark().statusLabel.y}>
          {mark().statusLabel.text}
        </text>
      </Show>
    </g>
  );
}

function whiskerPath(x: number, whisker: NonNullable<PlotMark['whisker']>): string {
  const foot = `M${x - 4} ${whisker.y2}h8`;
  const head = whisker.cutTop ? '' : `M${x - 4} ${whisker.y1}h8`;
  return `M${x} ${whisker.y1}V${whisker.y2}${head}${foot}`;
}
