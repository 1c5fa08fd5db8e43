import { make, SVG } from './overlay-elements.ts';
import { makeFitLayer, makeMarksLayer } from './overlay-marks.ts';
import { makePinsLayer, makeProposalsLayer } from './overlay-pins.ts';
import { makeTextsLayer } from './overlay-texts.ts';
import type { Overlay, OverlayActions, OverlayContent } from './overlay-types.ts';
import { chooseScaleBar } from './scale-bar.ts';

const SCALE_BAR_WIDEST_PX = 150;

/** What is written over the picture, layer by layer: lines, numbers, contacts, proposals, clicks, value, scale bar. */
export function makeOverlay(host: HTMLElement, actions: OverlayActions): Overlay {
  const pins = makePinsLayer(actions);
  const proposals = makeProposalsLayer(actions);
  const marks = makeMarksLayer(actions);
  const fit = makeFitLayer();
  const texts = makeTextsLayer();
  const layers = [proposals, pins, marks, fit] as const;

  const root = make('div', 'scan-view-overlay');
  const drawing = document.createElementNS(SVG, 'svg');
  drawing.setAttribute('class', 'scan-view-drawing');
  drawing.setAttribute('aria-hidden', 'true');
  drawing.append(texts.leaders, marks.dimension);
  const bar = make('div', 'scan-view-scale');
  const barLabel = make('span', 'scan-view-scale-label');
  bar.append(barLabel);
  root.append(
    drawing,
    texts.numbers,
    marks.element,
    fit.element,
    proposals.element,
    pins.element,
    texts.value,
    bar,
  );
  const hide = (): void => {
    root.style.visibility = 'hidden';
  };
  hide();
  host.append(root);

  let content: OverlayContent | null = null;
  return {
    setContent(next) {
      root.classList.toggle('simulated', next.simulated);
      for (const layer of layers) layer.setContent(content, next);
      texts.setContent(content, next, marks.chosen());
      content = next;
    },
    place(view) {
      if (content === null) return;
      root.style.visibility = '';
      drawing.setAttribute('viewBox', `0 0 ${view.width} ${view.height}`);
      for (const layer of layers) layer.place(view);
      // Pins and marks stay where they are; words keep clear of those in sight.
      texts.place(
        view,
        marks.chosen(),
        layers.flatMap((layer) => layer.obstacles(view)),
      );
      const scale = chooseScaleBar(view.pxPerMm, SCALE_BAR_WIDEST_PX);
      bar.style.width = `${scale.lengthPx}px`;
      barLabel.textContent = scale.label;
    },
    hide,
    previewPin: pins.preview,
    previewProposal: proposals.preview,
    dispose: () => root.remove(),
  };
}
