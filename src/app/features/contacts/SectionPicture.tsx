import { createMemo, createUniqueId, Show } from 'solid-js';
import { renderSectionSvg } from '../../../report/render-section-svg.ts';
import { type SectionPictureModel, sectionPicture } from '../../../report/section-svg.ts';
import type { SectionPictureProps } from '../../kernel/display-types.ts';
import { createSize } from '../../view/create-size.ts';
import './section-picture.css';

const START_SIZE = { widthPx: 440, heightPx: 0 };
/** Height by width; with a lens beside it a picture is flatter, with one below higher. */
const SHAPE = { alone: 0.72, lensBeside: 0.56, lensBelow: 1.2 };
const LENS_FROM_PX = 440;
const LEAST_HEIGHT_PX = 200;
const MOST_HEIGHT_PX = 480;
/** Texts nearer than a line apart, and within the reach of value and caption, would touch. */
const LINE_PX = 17;
const VALUE_REACH_PX = 120;

/** The cut through both proximal walls, drawn by the code that draws it in the report. */
export function SectionPicture(props: SectionPictureProps) {
  let box!: HTMLDivElement;
  const id = createUniqueId().replaceAll(/[^a-z0-9]/gi, '');
  const size = createSize(() => box, START_SIZE);
  const model = createMemo(() => {
    const { widthPx } = size() ?? START_SIZE;
    const lens = widthPx >= LENS_FROM_PX ? 'lensBeside' : 'lensBelow';
    const shape = SHAPE[props.contact.gap === null ? 'alone' : lens];
    const heightPx = Math.min(Math.max(widthPx * shape, LEAST_HEIGHT_PX), MOST_HEIGHT_PX);
    return withoutCrowding(
      sectionPicture(props.profile, props.contact, { widthPx, heightPx }, props.numbering),
    );
  });
  return (
    <figure class="section-picture">
      {/* The markup is our own: the report's renderer escapes every text it is given. */}
      <div class="section-picture-box" ref={box} innerHTML={renderSectionSvg(model(), `section${id}`)} />
      <Show when={model().remark !== ''}>
        <figcaption>{model().remark}</figcaption>
      </Show>
    </figure>
  );
}

/** Small pictures: a caption that would touch the measured value is left out, the value stays. */
function withoutCrowding(model: SectionPictureModel): SectionPictureModel {
  const panels = model.panels.map((panel) => {
    const label = panel.dimension?.label;
    if (label === undefined) return panel;
    const captions = panel.captions.filter(
      (caption) => Math.abs(caption.y - label.y) > LINE_PX || Math.abs(caption.x - label.x) > VALUE_REACH_PX,
    );
    return { ...panel, captions };
  });
  return { ...model, panels };
}
