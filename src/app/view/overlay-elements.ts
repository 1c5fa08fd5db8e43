import type { Contact, ContactStatus } from '../../contacts/types.ts';
import { describeContact } from '../../report/contact-words.ts';
import { statusSymbol } from '../../report/status-glyph.ts';
import { formatTooth } from '../../teeth/notation.ts';
import type { Click, NumberingScheme } from '../../teeth/types.ts';
import { contactKey, type FitMark } from '../kernel/display-types.ts';
import type { StrokeRun } from '../kernel/stroke-runs.ts';
import type { LabelWish } from './label-layout.ts';
import type { NumberPlace, OverlayActions, OverlayContent } from './overlay-types.ts';

export const SVG = 'http://www.w3.org/2000/svg';
/** How far one press of an arrow key moves a pin. */
const NUDGE_PX = 2;

export interface NumberLabel {
  readonly element: HTMLSpanElement;
  readonly leader: SVGLineElement;
  readonly place: NumberPlace;
  readonly width: number;
}
/** A pin of one click: dragged, nudged by arrow keys, taken away by Delete or the other button. */
export function makePin(
  click: Click,
  index: number,
  content: OverlayContent,
  actions: OverlayActions,
  stroke: StrokeRun | null = null,
): HTMLButtonElement {
  const pin = make('button', click.tooth === 'gum' ? 'scan-view-pin scan-view-pin-gum' : 'scan-view-pin');
  pin.type = 'button';
  const name = click.tooth === 'gum' ? 'gum' : `tooth ${formatTooth(click.tooth, content.numbering)}`;
  const what =
    stroke === null
      ? `Click on ${name}`
      : `Painted stroke of ${stroke.to - stroke.from + 1} points for ${name}`;
  pin.setAttribute(
    'aria-label',
    content.editable
      ? `${what}. ${stroke === null ? 'Drag or arrow keys move it, ' : ''}Delete removes it.`
      : what,
  );
  pin.title = content.editable
    ? `${name}: ${stroke === null ? 'drag to move, ' : ''}Delete or right click to remove`
    : name;
  pin.classList.toggle('scan-view-stroke', stroke !== null);
  if (!content.editable) {
    pin.disabled = true;
    return pin;
  }
  pin.dataset.ownPointer = '';
  let dragging = false;
  pin.addEventListener('pointerdown', (event) => {
    if (event.button !== 0 || stroke !== null) return;
    pin.setPointerCapture(event.pointerId);
    dragging = true;
    pin.classList.add('dragging');
  });
  pin.addEventListener('pointermove', (event) => {
    if (dragging) actions.dragPin(index, event.clientX, event.clientY);
  });
  pin.addEventListener('pointerup', () => {
    if (dragging) actions.dropPin(index);
    dragging = false;
    pin.classList.remove('dragging');
  });
  pin.addEventListener('pointercancel', () => {
    dragging = false;
    pin.classList.remove('dragging');
    actions.cancelDrag();
  });
  pin.addEventListener('contextmenu', (event) => {
    event.preventDefault();
    actions.removeClick(index);
  });
  pin.addEventListener('keydown', (event) => {
    const step = NUDGES[event.key];
    if (event.key === 'Delete' || event.key === 'Backspace') actions.removeClick(index);
    else if (event.key === 'Escape' && dragging) actions.cancelDrag();
    else if (step !== undefined && stroke === null)
      actions.nudgePin(index, step[0] * NUDGE_PX, step[1] * NUDGE_PX);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  return pin;
}

/** A point of a painted stroke behind its first one: seen, but not in the way. */
export function makeStrokeDot(click: Click): HTMLSpanElement {
  const dot = make('span', 'scan-view-pin scan-view-stroke');
  dot.classList.toggle('scan-view-pin-gum', click.tooth === 'gum');
  dot.setAttribute('aria-hidden', 'true');
  return dot;
}

const NUDGES: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** A tooth's number and the line to its crown. */
export function makeNumber(place: NumberPlace, content: OverlayContent): NumberLabel {
  const element = make('span', 'scan-view-number');
  const text = formatTooth(place.tooth, content.numbering);
  element.textContent = text;
  if (content.teeth.some((t) => t.fixed && t.tooth === place.tooth)) element.classList.add('fixed');
  const leader = document.createElementNS(SVG, 'line');
  leader.setAttribute('class', 'scan-view-leader');
  return { element, leader, place, width: 10 + 8 * text.length };
}

/** The mark of a contact: a button, so that choosing it needs no picture. */
export function makeMark(
  contact: Contact,
  numbering: NumberingScheme,
  actions: OverlayActions,
): HTMLButtonElement {
  const button = make('button', `scan-view-mark scan-view-mark-${contact.status}`);
  button.type = 'button';
  button.dataset.ownPointer = '';
  const words = describeContact(contact, numbering);
  button.setAttribute('aria-label', words);
  button.title = words;
  button.append(symbolOf(contact.status));
  button.addEventListener('click', () => {
    const key = contactKey(contact);
    actions.select(button.getAttribute('aria-pressed') === 'true' ? null : key);
  });
  return button;
}

/** The mark of a contact of a restoration: to be seen and read, but not in the way of a click. */
export function makeFitMark({ status, words }: FitMark): HTMLSpanElement {
  const mark = make('span', `scan-view-mark scan-view-mark-${status} scan-view-mark-fit`);
  mark.setAttribute('role', 'img');
  mark.setAttribute('aria-label', `Restoration, ${words}`);
  mark.append(symbolOf(status));
  return mark;
}

function symbolOf(status: ContactStatus): SVGSVGElement {
  const shape = statusSymbol(status, 0, 0);
  const svg = document.createElementNS(SVG, 'svg');
  svg.setAttribute('viewBox', '-8 -8 16 16');
  svg.setAttribute('aria-hidden', 'true');
  const path = document.createElementNS(SVG, 'path');
  path.setAttribute('d', shape.path);
  path.setAttribute('class', shape.filled ? 'filled' : 'hollow');
  svg.append(path);
  return svg;
}

/** One stop of the Tab key for the whole group; Tab enters at the element used last, arrow and Page keys walk. */
export function rove(parent: HTMLElement): void {
  const buttons = [...parent.querySelectorAll('button')];
  buttons.forEach((button, i) => {
    button.tabIndex = i === 0 ? 0 : -1;
    button.addEventListener('focus', () => {
      for (const other of buttons) other.tabIndex = other === button ? 0 : -1;
    });
    button.addEventListener('keydown', (event) => {
      const step = ROVE_STEPS[event.key];
      if (step === undefined || event.defaultPrevented) return;
      event.preventDefault();
      event.stopPropagation();
      buttons[(i + step + buttons.length) % buttons.length]?.focus();
    });
  });
}

/** Pins take the arrow keys for themselves, so Page keys walk there as well. */
const ROVE_STEPS: Readonly<Record<string, number>> = {
  ArrowRight: 1,
  ArrowDown: 1,
  ArrowLeft: -1,
  ArrowUp: -1,
  PageDown: 1,
  PageUp: -1,
};

/** An element with a class. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  className: string,
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  element.className = className;
  return element;
}

/** A named group of buttons, hidden while it is empty. */
export function group(label: string): HTMLDivElement {
  const element = make('div', 'scan-view-group');
  element.setAttribute('role', 'group');
  element.setAttribute('aria-label', label);
  element.hidden = true;
  return element;
}

/** Puts an element where its point is seen; one that the scan hides is marked so. */
export function put(
  element: HTMLElement,
  at: { readonly x: number; readonly y: number },
  visible: boolean,
): void {
  element.classList.toggle('behind', !visible);
  move(element, at.x, at.y);
}

export function move(element: HTMLElement, x: number, y: number): void {
  element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
}

/** Something that stays where it is, and words keep clear of. */
export function held(at: { readonly x: number; readonly y: number }, size: number): LabelWish {
  return { x: at.x, y: at.y, width: size, height: size, held: true };
}
