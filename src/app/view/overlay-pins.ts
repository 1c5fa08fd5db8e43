import type { ClickProposal } from '../../teeth/propose-clicks.ts';
import type { Click } from '../../teeth/types.ts';
import { strokeRuns } from '../kernel/stroke-runs.ts';
import type { LabelWish } from './label-layout.ts';
import { group, held, makePin, makeStrokeDot, put, rove } from './overlay-elements.ts';
import type { Overlay, OverlayActions, OverlayContent, OverlayLayer, Projection } from './overlay-types.ts';
import { makeProposalPin } from './proposal-pins.ts';

/** A pin is hidden when surface lies this far in front of it: the click itself sits on the surface, mm. */
export const PIN_GRACE_MM = 0.4;
const PIN_SIZE_PX = 10;
const PROPOSAL_SIZE_PX = 24;

interface Pin {
  /** A button; inside of a painted stroke a mere dot. */
  readonly element: HTMLElement;
  readonly click: Click;
}

type Preview<M extends 'previewPin' | 'previewProposal'> = Parameters<Overlay[M]>[0];

/** The clicks on the scan. */
export function makePinsLayer(
  actions: OverlayActions,
): OverlayLayer & { preview(next: Preview<'previewPin'>): void } {
  const element = group('Clicks on the scan');
  let pins: Pin[] = [];
  let preview: Preview<'previewPin'> = null;
  const show = (next: OverlayContent): void => {
    const runs = strokeRuns(next.clicks);
    pins = next.clicks.map((click, i) => {
      const run = runs.find(({ from, to }) => i >= from && i <= to) ?? null;
      if (run !== null && i > run.from) return { click, element: makeStrokeDot(click) };
      return { click, element: makePin(click, i, next, actions, run) };
    });
  };
  return {
    element,
    setContent(before, next) {
      if (
        before?.clicks === next.clicks &&
        before.numbering === next.numbering &&
        before.editable === next.editable
      )
        return;
      replaceKeepingFocus(
        element,
        () => pins,
        () => show(next),
      );
    },
    place(view) {
      pins.forEach((pin, i) => {
        const point = preview?.index === i ? preview.point : pin.click.point;
        const at = view.project(view.moved(pin.click.tooth, point));
        put(pin.element, at, preview?.index === i || view.visible(point, PIN_GRACE_MM));
      });
    },
    obstacles: (view) =>
      pins
        .filter((pin) => pin.element instanceof HTMLButtonElement)
        .filter((pin) => !pin.element.classList.contains('behind'))
        .map((pin) => held(view.project(view.moved(pin.click.tooth, pin.click.point)), PIN_SIZE_PX)),
    preview(next) {
      preview = next;
    },
  };
}

/** Places of teeth that are proposed and not clicked yet. */
export function makeProposalsLayer(
  actions: OverlayActions,
): OverlayLayer & { preview(next: Preview<'previewProposal'>): void } {
  const element = group('Proposed places of teeth, not clicked yet');
  let proposals: { readonly element: HTMLButtonElement; readonly proposal: ClickProposal }[] = [];
  let preview: Preview<'previewProposal'> = null;
  return {
    element,
    setContent(before, next) {
      if (before?.proposals === next.proposals && before.numbering === next.numbering) return;
      replaceKeepingFocus(
        element,
        () => proposals,
        () => {
          proposals = next.proposals.map((proposal) => ({
            proposal,
            element: makeProposalPin(proposal, next.numbering, actions),
          }));
        },
      );
    },
    place(view: Projection) {
      for (const pin of proposals) {
        const dragged = preview?.tooth === pin.proposal.tooth ? preview.point : null;
        const point = dragged ?? pin.proposal.point;
        put(pin.element, view.project(point), dragged !== null || view.visible(point, PIN_GRACE_MM));
      }
    },
    obstacles: (view): LabelWish[] =>
      proposals
        .filter((p) => !p.element.classList.contains('behind'))
        .map((p) => held(view.project(p.proposal.point), PROPOSAL_SIZE_PX)),
    preview(next) {
      preview = next;
    },
  };
}

/** New elements in place of the old ones; the focus stays at its place in the row. */
function replaceKeepingFocus(
  parent: HTMLElement,
  items: () => readonly { readonly element: HTMLElement }[],
  show: () => void,
): void {
  const focused = items().findIndex((item) => item.element === document.activeElement);
  show();
  const shown = items();
  parent.replaceChildren(...shown.map((item) => item.element));
  parent.hidden = shown.length === 0;
  rove(parent);
  if (focused >= 0) shown[Math.min(focused, shown.length - 1)]?.element.focus();
}
