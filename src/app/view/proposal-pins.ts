import type { Vec3 } from '../../geometry/types.ts';
import { formatTooth } from '../../teeth/notation.ts';
import type { ClickProposal } from '../../teeth/propose-clicks.ts';
import type { NumberingScheme, ToothNumber } from '../../teeth/types.ts';
import { make } from './overlay-elements.ts';
import type { OverlayActions } from './overlay-types.ts';

/** A press that moves less than this accepts the proposal, px. */
const CLICK_SLACK_PX = 5;
/** Below this confidence the pin says that it is a guess. */
const UNSURE_BELOW = 0.5;

/** A hollow pin with the number it proposes. A press accepts it, a drag says where the tooth really is. */
export function makeProposalPin(
  { tooth, confidence }: ClickProposal,
  numbering: NumberingScheme,
  actions: OverlayActions,
): HTMLButtonElement {
  const pin = make('button', 'scan-view-proposal');
  pin.type = 'button';
  pin.dataset.ownPointer = '';
  const name = formatTooth(tooth, numbering);
  const unsure = confidence < UNSURE_BELOW;
  pin.textContent = unsure ? `${name}?` : name;
  pin.classList.toggle('unsure', unsure);
  pin.setAttribute(
    'aria-label',
    `Proposed place of tooth ${name}${unsure ? ', not sure' : ''}. Enter or a click accepts it, a drag corrects it.`,
  );
  pin.title = `${name}: click to accept, drag to correct`;
  let from: { readonly x: number; readonly y: number } | null = null;
  let dragged = false;
  pin.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    pin.setPointerCapture(event.pointerId);
    from = { x: event.clientX, y: event.clientY };
    dragged = false;
  });
  pin.addEventListener('pointermove', (event) => {
    if (from === null) return;
    if (!dragged && Math.hypot(event.clientX - from.x, event.clientY - from.y) < CLICK_SLACK_PX) return;
    dragged = true;
    pin.classList.add('dragging');
    actions.dragProposal(tooth, event.clientX, event.clientY);
  });
  const end = (): void => {
    from = null;
    pin.classList.remove('dragging');
  };
  pin.addEventListener('pointerup', () => {
    const moved = from !== null && dragged;
    end();
    if (moved) actions.dropProposal(tooth);
  });
  pin.addEventListener('pointercancel', () => {
    end();
    actions.cancelDrag();
  });
  // The click that follows a drag is part of the drag.
  pin.addEventListener('click', () => {
    if (!dragged) actions.acceptProposal(tooth);
    dragged = false;
  });
  return pin;
}

export interface ProposalContext {
  /** The surface under a place of the window. */
  surfaceUnder(clientX: number, clientY: number): Vec3 | null;
  preview(pin: { readonly tooth: ToothNumber; readonly point: Vec3 } | null): void;
  accept(tooth: ToothNumber): void;
  place(tooth: ToothNumber, point: Vec3): void;
}

/** Proposals slide over the surface; dropped beside it they count at the last place that was on it. */
export function proposalActions(
  context: ProposalContext,
): Pick<OverlayActions, 'acceptProposal' | 'dragProposal' | 'dropProposal'> {
  let dragged: { readonly tooth: ToothNumber; readonly point: Vec3 } | null = null;
  return {
    acceptProposal: context.accept,
    dragProposal(tooth, clientX, clientY) {
      const point = context.surfaceUnder(clientX, clientY);
      if (point === null) return;
      dragged = { tooth, point };
      context.preview(dragged);
    },
    dropProposal(tooth) {
      const drop = dragged;
      dragged = null;
      context.preview(null);
      if (drop?.tooth === tooth) context.place(tooth, drop.point);
    },
  };
}
