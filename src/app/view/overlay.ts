import type { Contact } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import { describeContact } from '../../report/contact-words.ts';
import { formatGap, formatMm } from '../../report/format-mm.ts';
import { statusSymbol } from '../../report/status-glyph.ts';
import { formatTooth } from '../../teeth/notation.ts';
import type { Click, NumberingScheme, ToothNumber, ToothRecord } from '../../teeth/types.ts';
import { type ContactKey, contactKey } from '../kernel/display-types.ts';
import { type LabelWish, layOutLabels } from './label-layout.ts';
import { chooseScaleBar } from './scale-bar.ts';

/** Where a tooth's number would like to stand: over a point of the scan frame, or so many px higher. */
export interface NumberPlace {
  readonly tooth: ToothNumber;
  readonly at: Vec3;
  readonly raisedPx: number;
  /** Points of the crown: the number is written while enough of them are in sight. */
  readonly samples: readonly Vec3[];
}

/** What is written over the picture: pins, tooth numbers, contact marks, the scale bar. Plain elements, no canvas. */
export interface OverlayContent {
  readonly clicks: readonly Click[];
  readonly numbers: readonly NumberPlace[];
  /** Which teeth are fixed is shown at their numbers. */
  readonly teeth: readonly ToothRecord[];
  readonly contacts: readonly Contact[];
  readonly selected: ContactKey | null;
  readonly numbering: NumberingScheme;
  /** Pins can be moved and taken away; otherwise they are only shown. */
  readonly editable: boolean;
}

export interface OverlayActions {
  select(key: ContactKey | null): void;
  removeClick(index: number): void;
  /** The pin is being dragged over this place (CSS px); the view answers where it would come to lie. */
  dragPin(index: number, x: number, y: number): void;
  dropPin(index: number): void;
  cancelDrag(): void;
  /** Shift of a pin by arrow keys, CSS px. */
  nudgePin(index: number, dx: number, dy: number): void;
}

/** The camera as the overlay needs it, at one moment. */
export interface Projection {
  readonly width: number;
  readonly height: number;
  readonly pxPerMm: number;
  /** CSS pixels from the top left corner. */
  project(point: Vec3): { readonly x: number; readonly y: number };
  /** False when the scan (crowns unmoved) hides the point; hits within `grace` mm of it do not count. */
  visible(point: Vec3, grace: number): boolean;
  /** Where a point of this tooth's crown is now, while the stages play. */
  moved(tooth: ToothNumber | 'gum', point: Vec3): Vec3;
}

export interface Overlay {
  setContent(content: OverlayContent): void;
  /** Puts everything where the camera now sees it. */
  place(projection: Projection): void;
  /** Shows pin `index` at `point` while it is dragged; null ends that. */
  previewPin(preview: { readonly index: number; readonly point: Vec3 } | null): void;
  dispose(): void;
}

/** A pin is hidden when surface lies this far in front of it: the click itself sits on the surface, mm. */
const PIN_GRACE_MM = 0.4;
/** A number is written while this share of its crown is in sight; from any side about half of a free crown is. */
const CROWN_IN_SIGHT = 0.15;
/** A contact lies deep between two crowns and is still marked when one looks down on it, mm. */
const CONTACT_GRACE_MM = 6;
const SCALE_BAR_WIDEST_PX = 150;
const LABEL_GAP_PX = 3;
/** Strip at the top of the view that belongs to its buttons. */
const TOOLS_HEIGHT_PX = 46;
/** The chosen value stands above the ring around its contact. */
const VALUE_ABOVE_PX = 36;
const PIN_SIZE_PX = 10;
const MARK_SIZE_PX = 14;
const RING_SIZE_PX = 40;
const NUMBER_HEIGHT_PX = 18;
/** From here on a number is far enough from its crown to need a leader, px. */
const LEADER_FROM_PX = 20;
const NUDGE_PX = 2;

interface Pin {
  readonly element: HTMLButtonElement;
  readonly click: Click;
}
interface NumberLabel {
  readonly element: HTMLSpanElement;
  readonly leader: SVGLineElement;
  readonly place: NumberPlace;
  readonly width: number;
}
interface ContactMark {
  readonly element: HTMLButtonElement;
  readonly contact: Contact;
  readonly at: readonly [Vec3, Vec3];
}

const SVG = 'http://www.w3.org/2000/svg';

export function makeOverlay(host: HTMLElement, actions: OverlayActions): Overlay {
  const root = make('div', 'scan-view-overlay');
  const drawing = document.createElementNS(SVG, 'svg');
  drawing.setAttribute('class', 'scan-view-drawing');
  drawing.setAttribute('aria-hidden', 'true');
  const dimension = document.createElementNS(SVG, 'path');
  dimension.setAttribute('class', 'scan-view-dimension');
  const leaders = document.createElementNS(SVG, 'g');
  drawing.append(leaders, dimension);
  const numbersLayer = make('div', 'scan-view-numbers');
  const marksGroup = group('Contacts on the scan');
  const pinsGroup = group('Clicks on the scan');
  const value = make('span', 'scan-view-value');
  const bar = make('div', 'scan-view-scale');
  const barLabel = make('span', 'scan-view-scale-label');
  bar.append(barLabel);
  root.append(drawing, numbersLayer, marksGroup, pinsGroup, value, bar);
  host.append(root);

  let content: OverlayContent | null = null;
  let pins: Pin[] = [];
  let numbers: NumberLabel[] = [];
  let marks: ContactMark[] = [];
  let preview: { readonly index: number; readonly point: Vec3 } | null = null;

  const setContent = (next: OverlayContent): void => {
    const before = content;
    content = next;
    if (
      before?.clicks !== next.clicks ||
      before.numbering !== next.numbering ||
      before.editable !== next.editable
    ) {
      const focused = pins.findIndex((p) => p.element === document.activeElement);
      pins = next.clicks.map((click, i) => ({ click, element: makePin(click, i, next, actions) }));
      pinsGroup.replaceChildren(...pins.map((p) => p.element));
      pinsGroup.hidden = pins.length === 0;
      rove(pinsGroup);
      if (focused >= 0) pins[Math.min(focused, pins.length - 1)]?.element.focus();
    }
    if (
      before?.numbers !== next.numbers ||
      before.teeth !== next.teeth ||
      before.numbering !== next.numbering
    ) {
      numbers = next.numbers.map((place) => makeNumber(place, next));
      numbersLayer.replaceChildren(...numbers.map((n) => n.element));
      leaders.replaceChildren(...numbers.map((n) => n.leader));
    }
    if (before?.contacts !== next.contacts || before.numbering !== next.numbering) {
      marks = next.contacts.flatMap((contact) => {
        const at = contact.pointA ?? contact.pointB;
        if (at === null) return [];
        const mark = makeMark(contact, next.numbering, actions);
        return [{ element: mark, contact, at: [at, contact.pointB ?? at] as const }];
      });
      marksGroup.replaceChildren(...marks.map((m) => m.element));
      marksGroup.hidden = marks.length === 0;
      rove(marksGroup);
    }
    for (const m of marks) {
      const on = contactKey(m.contact) === next.selected;
      m.element.setAttribute('aria-pressed', String(on));
    }
    const chosen = marks.find((m) => contactKey(m.contact) === next.selected);
    value.textContent = chosen === undefined ? '' : shortValue(chosen.contact);
    value.hidden = value.textContent === '';
  };

  const place = (view: Projection): void => {
    if (content === null) return;
    drawing.setAttribute('viewBox', `0 0 ${view.width} ${view.height}`);
    pins.forEach((pin, i) => {
      const point = preview?.index === i ? preview.point : pin.click.point;
      const at = view.project(view.moved(pin.click.tooth, point));
      put(pin.element, at, preview?.index === i || view.visible(point, PIN_GRACE_MM));
    });
    for (const mark of marks) {
      const at = view.project(middleOf(movedPoints(mark, view)));
      put(mark.element, at, view.visible(middleOf(mark.at), CONTACT_GRACE_MM));
    }
    placeTexts(view);
    placeDimension(view);
    const scale = chooseScaleBar(view.pxPerMm, SCALE_BAR_WIDEST_PX);
    bar.style.width = `${scale.lengthPx}px`;
    barLabel.textContent = scale.label;
  };

  /** Numbers and the chosen value share one layout, so that none covers another. */
  const placeTexts = (view: Projection): void => {
    const shown = numbers
      .map((n) => ({ n, at: view.moved(n.place.tooth, n.place.at) }))
      .filter(({ n, at }) => {
        const visible = onScreen(view, at) && inSight(view, n.place.samples);
        n.element.hidden = !visible;
        n.leader.setAttribute('visibility', 'hidden');
        return visible;
      });
    const wishes: LabelWish[] = shown.map(({ n, at }) => {
      const { x, y } = view.project(at);
      return { x, y: y - n.place.raisedPx, width: n.width, height: NUMBER_HEIGHT_PX };
    });
    const chosen = marks.find((m) => contactKey(m.contact) === content?.selected);
    if (chosen !== undefined && !value.hidden) {
      const [a, b] = movedPoints(chosen, view);
      const p = view.project(a);
      const q = view.project(b);
      wishes.push({
        x: (p.x + q.x) / 2,
        y: Math.min(p.y, q.y) - VALUE_ABOVE_PX,
        width: 12 + 7 * value.textContent.length,
        height: 22,
      });
    }
    const obstacles = obstaclesOf(view);
    const room = { width: view.width, height: view.height, top: TOOLS_HEIGHT_PX, gap: LABEL_GAP_PX };
    const places = layOutLabels([...wishes, ...obstacles], room);
    shown.forEach(({ n }, i) => {
      const p = places[i]!;
      const wish = wishes[i]!;
      move(n.element, p.x, p.y);
      if (Math.hypot(p.x - wish.x, p.y - wish.y) < LEADER_FROM_PX) return;
      n.leader.setAttribute('visibility', 'visible');
      setLine(n.leader, p.x, p.y, wish.x, wish.y);
    });
    const valuePlace = wishes.length > shown.length ? places[shown.length] : undefined;
    if (valuePlace !== undefined) move(value, valuePlace.x, valuePlace.y);
  };

  /** Pins and marks stay where they are; numbers keep clear of those in sight. */
  const obstaclesOf = (view: Projection): LabelWish[] => {
    const held = (at: { readonly x: number; readonly y: number }, size: number): LabelWish => ({
      x: at.x,
      y: at.y,
      width: size,
      height: size,
      held: true,
    });
    return [
      ...pins
        .filter((pin) => !pin.element.classList.contains('behind'))
        .map((pin) => held(view.project(view.moved(pin.click.tooth, pin.click.point)), PIN_SIZE_PX)),
      ...marks
        .filter((mark) => !mark.element.classList.contains('behind'))
        .map((mark) => {
          const chosen = contactKey(mark.contact) === content?.selected;
          return held(view.project(middleOf(movedPoints(mark, view))), chosen ? RING_SIZE_PX : MARK_SIZE_PX);
        }),
    ];
  };

  const placeDimension = (view: Projection): void => {
    const chosen = marks.find((m) => contactKey(m.contact) === content?.selected);
    if (chosen === undefined || chosen.contact.gap === null) {
      dimension.setAttribute('d', '');
      return;
    }
    const [a, b] = movedPoints(chosen, view).map(view.project) as [
      { x: number; y: number },
      { x: number; y: number },
    ];
    dimension.setAttribute('d', `M${a.x} ${a.y}L${b.x} ${b.y}`);
  };

  return {
    setContent,
    place,
    previewPin(next) {
      preview = next;
    },
    dispose() {
      root.remove();
    },
  };
}

function middleOf([a, b]: readonly [Vec3, Vec3]): Vec3 {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
}

function onScreen(view: Projection, point: Vec3): boolean {
  const { x, y } = view.project(point);
  return x > 0 && y > 0 && x < view.width && y < view.height;
}

function inSight(view: Projection, samples: readonly Vec3[]): boolean {
  const seen = samples.filter((p) => view.visible(p, PIN_GRACE_MM)).length;
  return seen >= CROWN_IN_SIGHT * samples.length;
}

function movedPoints(mark: ContactMark, view: Projection): [Vec3, Vec3] {
  return [view.moved(mark.contact.toothA, mark.at[0]), view.moved(mark.contact.toothB, mark.at[1])];
}

/** What stands beside the chosen contact: the measured space, or what could hide. */
function shortValue(contact: Contact): string {
  if (contact.gap !== null) return formatGap(contact.gap);
  return contact.upperBoundMm === null ? '' : `at most ${formatMm(contact.upperBoundMm)} mm`;
}

function makePin(
  click: Click,
  index: number,
  content: OverlayContent,
  actions: OverlayActions,
): HTMLButtonElement {
  const pin = make('button', click.tooth === 'gum' ? 'scan-view-pin scan-view-pin-gum' : 'scan-view-pin');
  pin.type = 'button';
  const name = click.tooth === 'gum' ? 'gum' : `tooth ${formatTooth(click.tooth, content.numbering)}`;
  pin.setAttribute(
    'aria-label',
    content.editable
      ? `Click on ${name}. Drag or arrow keys move it, Delete removes it.`
      : `Click on ${name}`,
  );
  pin.title = content.editable ? `${name}: drag to move, Delete or right click to remove` : name;
  if (!content.editable) {
    pin.disabled = true;
    return pin;
  }
  pin.dataset.ownPointer = '';
  let dragging = false;
  pin.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
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
    else if (step !== undefined) actions.nudgePin(index, step[0] * NUDGE_PX, step[1] * NUDGE_PX);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  return pin;
}

const NUDGES: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

function makeNumber(place: NumberPlace, content: OverlayContent): NumberLabel {
  const element = make('span', 'scan-view-number');
  const text = formatTooth(place.tooth, content.numbering);
  element.textContent = text;
  if (content.teeth.some((t) => t.fixed && t.tooth === place.tooth)) element.classList.add('fixed');
  const leader = document.createElementNS(SVG, 'line');
  leader.setAttribute('class', 'scan-view-leader');
  return { element, leader, place, width: 10 + 8 * text.length };
}

function makeMark(contact: Contact, numbering: NumberingScheme, actions: OverlayActions): HTMLButtonElement {
  const button = make('button', `scan-view-mark scan-view-mark-${contact.status}`);
  button.type = 'button';
  button.dataset.ownPointer = '';
  const words = describeContact(contact, numbering);
  button.setAttribute('aria-label', words);
  button.title = words;
  const shape = statusSymbol(contact.status, 0, 0);
  const svg = document.createElementNS(SVG, 'svg');
  svg.setAttribute('viewBox', '-8 -8 16 16');
  svg.setAttribute('aria-hidden', 'true');
  const path = document.createElementNS(SVG, 'path');
  path.setAttribute('d', shape.path);
  path.setAttribute('class', shape.filled ? 'filled' : 'hollow');
  svg.append(path);
  button.append(svg);
  button.addEventListener('click', () => {
    const key = contactKey(contact);
    actions.select(button.getAttribute('aria-pressed') === 'true' ? null : key);
  });
  return button;
}

/** One stop of the Tab key for the whole group; Tab enters at the element used last, N and P walk. */
function rove(parent: HTMLElement): void {
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

function put(element: HTMLElement, at: { readonly x: number; readonly y: number }, visible: boolean): void {
  element.classList.toggle('behind', !visible);
  move(element, at.x, at.y);
}

function move(element: HTMLElement, x: number, y: number): void {
  element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
}

function setLine(line: SVGLineElement, x1: number, y1: number, x2: number, y2: number): void {
  line.setAttribute('x1', x1.toFixed(1));
  line.setAttribute('y1', y1.toFixed(1));
  line.setAttribute('x2', x2.toFixed(1));
  line.setAttribute('y2', y2.toFixed(1));
}

function make<K extends keyof HTMLElementTagNameMap>(tag: K, className: string): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  element.className = className;
  return element;
}

function group(label: string): HTMLDivElement {
  const element = make('div', 'scan-view-group');
  element.setAttribute('role', 'group');
  element.setAttribute('aria-label', label);
  element.hidden = true;
  return element;
}
