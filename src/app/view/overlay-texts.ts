import type { Contact } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import { formatGap, formatMm } from '../../report/format-mm.ts';
import { type LabelWish, layOutLabels } from './label-layout.ts';
import { make, makeNumber, move, type NumberLabel, SVG } from './overlay-elements.ts';
import type { ChosenMark } from './overlay-marks.ts';
import { PIN_GRACE_MM } from './overlay-pins.ts';
import type { OverlayContent, Projection } from './overlay-types.ts';

/** A number is written while this share of its crown is in sight; from any side about half of a free crown is. */
const CROWN_IN_SIGHT = 0.15;
const LABEL_GAP_PX = 3;
/** Strip at the top of the view that belongs to its buttons. */
const TOOLS_HEIGHT_PX = 46;
/** The chosen value stands above the ring around its contact. */
const VALUE_ABOVE_PX = 36;
const NUMBER_HEIGHT_PX = 18;
/** From here on a number is far enough from its crown to need a leader, px. */
const LEADER_FROM_PX = 20;

/** The words over the picture: tooth numbers with their leaders, and the value of the chosen contact. */
export interface TextsLayer {
  readonly numbers: HTMLElement;
  readonly leaders: SVGGElement;
  readonly value: HTMLElement;
  setContent(before: OverlayContent | null, next: OverlayContent, chosen: ChosenMark | null): void;
  /** Numbers and the chosen value share one layout, so that none covers another or what is `inTheWay`. */
  place(view: Projection, chosen: ChosenMark | null, inTheWay: readonly LabelWish[]): void;
}

export function makeTextsLayer(): TextsLayer {
  const numbers = make('div', 'scan-view-numbers');
  const leaders = document.createElementNS(SVG, 'g');
  const value = make('span', 'scan-view-value');
  let labels: NumberLabel[] = [];

  const valueWish = (view: Projection, chosen: ChosenMark | null): LabelWish[] => {
    if (chosen === null || value.hidden) return [];
    const [a, b] = chosen.ends(view);
    const [p, q] = [view.project(a), view.project(b)];
    return [
      {
        x: (p.x + q.x) / 2,
        y: Math.min(p.y, q.y) - VALUE_ABOVE_PX,
        width: 12 + 7 * value.textContent.length,
        height: 22,
      },
    ];
  };

  return {
    numbers,
    leaders,
    value,
    setContent(before, next, chosen) {
      if (
        before?.numbers !== next.numbers ||
        before.teeth !== next.teeth ||
        before.numbering !== next.numbering
      ) {
        labels = next.numbers.map((place) => makeNumber(place, next));
        numbers.replaceChildren(...labels.map((n) => n.element));
        leaders.replaceChildren(...labels.map((n) => n.leader));
      }
      value.textContent = chosen === null ? '' : shortValue(chosen.contact);
      value.hidden = value.textContent === '';
    },
    place(view, chosen, inTheWay) {
      const shown = labels
        .map((label) => ({ label, at: view.moved(label.place.tooth, label.place.at) }))
        .filter(({ label, at }) => {
          const visible = onScreen(view, at) && inSight(view, label.place.samples);
          label.element.hidden = !visible;
          label.leader.setAttribute('visibility', 'hidden');
          return visible;
        });
      const wishes = shown.map(({ label, at }): LabelWish => {
        const { x, y } = view.project(at);
        return { x, y: y - label.place.raisedPx, width: label.width, height: NUMBER_HEIGHT_PX };
      });
      const room = { width: view.width, height: view.height, top: TOOLS_HEIGHT_PX, gap: LABEL_GAP_PX };
      const ofValue = valueWish(view, chosen);
      const places = layOutLabels([...wishes, ...ofValue, ...inTheWay], room);
      shown.forEach(({ label }, i) => {
        const p = places[i]!;
        const wish = wishes[i]!;
        move(label.element, p.x, p.y);
        if (Math.hypot(p.x - wish.x, p.y - wish.y) < LEADER_FROM_PX) return;
        label.leader.setAttribute('visibility', 'visible');
        setLine(label.leader, p.x, p.y, wish.x, wish.y);
      });
      const valuePlace = ofValue.length > 0 ? places[shown.length] : undefined;
      if (valuePlace !== undefined) move(value, valuePlace.x, valuePlace.y);
    },
  };
}

function onScreen(view: Projection, point: Vec3): boolean {
  const { x, y } = view.project(point);
  return x > 0 && y > 0 && x < view.width && y < view.height;
}

function inSight(view: Projection, samples: readonly Vec3[]): boolean {
  const seen = samples.filter((p) => view.visible(p, PIN_GRACE_MM)).length;
  return seen >= CROWN_IN_SIGHT * samples.length;
}

/** What stands beside the chosen contact: the measured space, or what could hide. */
function shortValue(contact: Contact): string {
  if (contact.gap !== null) return formatGap(contact.gap);
  return contact.upperBoundMm === null ? '' : `at most ${formatMm(contact.upperBoundMm)} mm`;
}

function setLine(line: SVGLineElement, x1: number, y1: number, x2: number, y2: number): void {
  line.setAttribute('x1', x1.toFixed(1));
  line.setAttribute('y1', y1.toFixed(1));
  line.setAttribute('x2', x2.toFixed(1));
  line.setAttribute('y2', y2.toFixed(1));
}
