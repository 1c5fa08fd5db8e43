import type { Contact } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import { formatGap, formatMm } from '../../report/format-mm.ts';
import type { ClickProposal } from '../../teeth/propose-clicks.ts';
import type { Click, ToothNumber } from '../../teeth/types.ts';
import { contactKey } from '../kernel/display-types.ts';
import { strokeRuns } from '../kernel/stroke-runs.ts';
import { type LabelWish, layOutLabels } from './label-layout.ts';
import {
  group,
  make,
  makeMark,
  makeNumber,
  makePin,
  makeStrokeDot,
  type NumberLabel,
  rove,
  SVG,
} from './overlay-elements.ts';
import type { Overlay, OverlayActions, OverlayContent, Projection } from './overlay-types.ts';
import { makeProposalPin } from './proposal-pins.ts';
import { chooseScaleBar } from './scale-bar.ts';

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
const PROPOSAL_SIZE_PX = 24;
const MARK_SIZE_PX = 14;
const RING_SIZE_PX = 40;
const NUMBER_HEIGHT_PX = 18;
/** From here on a number is far enough from its crown to need a leader, px. */
const LEADER_FROM_PX = 20;

interface Pin {
  /** A button; inside of a painted stroke a mere dot. */
  readonly element: HTMLElement;
  readonly click: Click;
}
interface ProposalPin {
  readonly element: HTMLButtonElement;
  readonly proposal: ClickProposal;
}
interface ContactMark {
  readonly element: HTMLButtonElement;
  readonly contact: Contact;
  readonly at: readonly [Vec3, Vec3];
}

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
  const proposalsGroup = group('Proposed places of teeth, not clicked yet');
  const value = make('span', 'scan-view-value');
  const bar = make('div', 'scan-view-scale');
  const barLabel = make('span', 'scan-view-scale-label');
  bar.append(barLabel);
  root.append(drawing, numbersLayer, marksGroup, proposalsGroup, pinsGroup, value, bar);
  host.append(root);

  let content: OverlayContent | null = null;
  let pins: Pin[] = [];
  let numbers: NumberLabel[] = [];
  let marks: ContactMark[] = [];
  let proposals: ProposalPin[] = [];
  let proposalPreview: { readonly tooth: ToothNumber; readonly point: Vec3 } | null = null;
  let preview: { readonly index: number; readonly point: Vec3 } | null = null;

  const setContent = (next: OverlayContent): void => {
    const before = content;
    content = next;
    root.classList.toggle('simulated', next.simulated);
    if (
      before?.clicks !== next.clicks ||
      before.numbering !== next.numbering ||
      before.editable !== next.editable
    ) {
      const focused = pins.findIndex((p) => p.element === document.activeElement);
      const runs = strokeRuns(next.clicks);
      pins = next.clicks.map((click, i) => {
        const run = runs.find(({ from, to }) => i >= from && i <= to) ?? null;
        if (run !== null && i > run.from) return { click, element: makeStrokeDot(click) };
        return { click, element: makePin(click, i, next, actions, run) };
      });
      pinsGroup.replaceChildren(...pins.map((p) => p.element));
      pinsGroup.hidden = pins.length === 0;
      rove(pinsGroup);
      if (focused >= 0) pins[Math.min(focused, pins.length - 1)]?.element.focus();
    }
    if (before?.proposals !== next.proposals || before.numbering !== next.numbering) {
      const focused = proposals.findIndex((p) => p.element === document.activeElement);
      proposals = next.proposals.map((proposal) => ({
        proposal,
        element: makeProposalPin(proposal, next.numbering, actions),
      }));
      proposalsGroup.replaceChildren(...proposals.map((p) => p.element));
      proposalsGroup.hidden = proposals.length === 0;
      rove(proposalsGroup);
      if (focused >= 0) proposals[Math.min(focused, proposals.length - 1)]?.element.focus();
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
    for (const { element, proposal } of proposals) {
      const held = proposalPreview?.tooth === proposal.tooth ? proposalPreview.point : null;
      const point = held ?? proposal.point;
      put(element, view.project(point), held !== null || view.visible(point, PIN_GRACE_MM));
    }
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
      ...proposals
        .filter((p) => !p.element.classList.contains('behind'))
        .map((p) => held(view.project(p.proposal.point), PROPOSAL_SIZE_PX)),
      ...pins
        .filter((pin) => pin.element instanceof HTMLButtonElement)
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
    previewProposal(next) {
      proposalPreview = next;
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
