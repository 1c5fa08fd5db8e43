/** What hands do on the view. Places are CSS pixels from the host's top left corner. */
export interface GestureActions {
  /** A drag with one finger or the main button begins; the view picks the pivot. */
  turnStart(x: number, y: number): void;
  turn(dx: number, dy: number): void;
  pan(dx: number, dy: number): void;
  /** `factor` above 1 comes nearer. */
  zoom(factor: number, x: number, y: number): void;
  /** Two fingers twist, rad, clockwise on the screen positive. */
  roll(angleRad: number, x: number, y: number): void;
  click(x: number, y: number): void;
  /** Whether a drag of the main button from here paints instead of turning. */
  paints(x: number, y: number): boolean;
  /** The stroke goes on to here; `begins` at its first place. */
  paint(x: number, y: number, begins: boolean): void;
  /** The pointer rests over the view without a button, or has left it (null). */
  hover(place: { readonly x: number; readonly y: number } | null): void;
}

/** A press that moves less than this is a click, px; fingers are less steady than a mouse. */
const CLICK_SLACK_PX = { mouse: 4, touch: 10 };
/** One notch of a wheel (100 px) zooms by this factor; trackpads send many small steps. */
const ZOOM_PER_NOTCH = 1.18;
/** Firefox counts wheel lines, not pixels. */
const PX_PER_LINE = 33;

interface Finger {
  x: number;
  y: number;
}

/**
 * Listens on `host`: one finger or the main button turns, two fingers or another button (or Shift) pan, pinch and
 * wheel zoom, a press without movement is a click. Where `paints` says so, one finger or the main button paints.
 *
 * @returns removes the listeners
 */
export function listenToGestures(host: HTMLElement, actions: GestureActions): () => void {
  const fingers = new Map<number, Finger>();
  let travelled = 0;
  let panning = false;
  let many = false;
  let painting = false;
  let began: Finger = { x: 0, y: 0 };

  const placeOf = (event: MouseEvent): Finger => {
    const box = host.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };

  const down = (event: PointerEvent): void => {
    if (event.target instanceof Element && event.target.closest('[data-own-pointer]') !== null) return;
    host.setPointerCapture(event.pointerId);
    const place = placeOf(event);
    fingers.set(event.pointerId, place);
    if (fingers.size === 1) {
      travelled = 0;
      many = false;
      panning = event.button !== 0 || event.shiftKey;
      painting = !panning && actions.paints(place.x, place.y);
      began = place;
      if (!panning && !painting) actions.turnStart(place.x, place.y);
    } else {
      many = true;
      painting = false;
    }
  };

  const move = (event: PointerEvent): void => {
    const place = placeOf(event);
    const finger = fingers.get(event.pointerId);
    if (finger === undefined) {
      if (event.pointerType === 'mouse') actions.hover(place);
      return;
    }
    const dx = place.x - finger.x;
    const dy = place.y - finger.y;
    if (fingers.size === 1) {
      const slack = event.pointerType === 'mouse' ? CLICK_SLACK_PX.mouse : CLICK_SLACK_PX.touch;
      const rested = travelled < slack;
      travelled += Math.hypot(dx, dy);
      if (travelled < slack) return;
      if (painting) {
        if (rested) actions.paint(began.x, began.y, true);
        actions.paint(place.x, place.y, false);
      } else if (panning) actions.pan(dx, dy);
      else if (!many) actions.turn(dx, dy);
    } else if (fingers.size === 2) moveTwo(event.pointerId, place);
    finger.x = place.x;
    finger.y = place.y;
  };

  const moveTwo = (id: number, place: Finger): void => {
    const still = [...fingers].find(([other]) => other !== id)![1];
    const before = fingers.get(id)!;
    actions.pan((place.x - before.x) / 2, (place.y - before.y) / 2);
    const middleX = (place.x + still.x) / 2;
    const middleY = (place.y + still.y) / 2;
    const was = Math.hypot(before.x - still.x, before.y - still.y);
    const is = Math.hypot(place.x - still.x, place.y - still.y);
    if (was > 0 && is > 0) actions.zoom(is / was, middleX, middleY);
    const turn =
      Math.atan2(place.y - still.y, place.x - still.x) - Math.atan2(before.y - still.y, before.x - still.x);
    actions.roll(Math.atan2(Math.sin(turn), Math.cos(turn)), middleX, middleY);
  };

  const up = (event: PointerEvent): void => {
    if (!fingers.delete(event.pointerId)) return;
    const slack = event.pointerType === 'mouse' ? CLICK_SLACK_PX.mouse : CLICK_SLACK_PX.touch;
    if (event.type === 'pointerup' && fingers.size === 0 && !many && !panning && travelled < slack) {
      const place = placeOf(event);
      if (painting) actions.paint(place.x, place.y, true);
      else actions.click(place.x, place.y);
    }
  };

  const wheel = (event: WheelEvent): void => {
    event.preventDefault();
    const place = placeOf(event);
    const pixels = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? event.deltaY * PX_PER_LINE : event.deltaY;
    // A pinch on a trackpad arrives as a wheel with Control and small steps.
    const strength = event.ctrlKey ? 4 : 1;
    actions.zoom(ZOOM_PER_NOTCH ** ((-pixels * strength) / 100), place.x, place.y);
  };

  const leave = (): void => actions.hover(null);
  const noMenu = (event: Event): void => event.preventDefault();

  host.addEventListener('pointerdown', down);
  host.addEventListener('pointermove', move);
  host.addEventListener('pointerup', up);
  host.addEventListener('pointercancel', up);
  host.addEventListener('pointerleave', leave);
  host.addEventListener('wheel', wheel, { passive: false });
  host.addEventListener('contextmenu', noMenu);
  return () => {
    host.removeEventListener('pointerdown', down);
    host.removeEventListener('pointermove', move);
    host.removeEventListener('pointerup', up);
    host.removeEventListener('pointercancel', up);
    host.removeEventListener('pointerleave', leave);
    host.removeEventListener('wheel', wheel);
    host.removeEventListener('contextmenu', noMenu);
  };
}
