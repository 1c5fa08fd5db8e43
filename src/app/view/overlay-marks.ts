import type { Contact } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import { type ContactKey, contactKey } from '../kernel/display-types.ts';
import { group, held, make, makeFitMark, makeMark, put, rove, SVG } from './overlay-elements.ts';
import type { OverlayActions, OverlayLayer, Projection } from './overlay-types.ts';

/** A contact lies deep between two crowns and is still marked when one looks down on it, mm. */
const CONTACT_GRACE_MM = 6;
const MARK_SIZE_PX = 14;
const RING_SIZE_PX = 40;
const FIT_MARK_SIZE_PX = 24;

interface ContactMark {
  readonly element: HTMLButtonElement;
  readonly contact: Contact;
  readonly at: readonly [Vec3, Vec3];
}

/** The contact that is chosen, where it has a place on the scan. */
export interface ChosenMark {
  readonly contact: Contact;
  /** Its two closest points as the crowns stand now. */
  readonly ends: (view: Projection) => readonly [Vec3, Vec3];
}

/** The contacts on the scan, and the dimension line of the chosen one. */
export function makeMarksLayer(
  actions: OverlayActions,
): OverlayLayer & { readonly dimension: SVGPathElement; chosen(): ChosenMark | null } {
  const element = group('Contacts on the scan');
  const dimension = document.createElementNS(SVG, 'path');
  dimension.setAttribute('class', 'scan-view-dimension');
  let marks: ContactMark[] = [];
  let selected: ContactKey | null = null;
  const isChosen = (mark: ContactMark): boolean => contactKey(mark.contact) === selected;
  const chosen = (): ChosenMark | null => {
    const mark = marks.find(isChosen);
    return mark ? { contact: mark.contact, ends: (view) => movedPoints(mark, view) } : null;
  };

  const placeDimension = (view: Projection): void => {
    const mark = chosen();
    if (mark === null || mark.contact.gap === null) {
      dimension.setAttribute('d', '');
      return;
    }
    const [a, b] = mark.ends(view);
    const [p, q] = [view.project(a), view.project(b)];
    dimension.setAttribute('d', `M${p.x} ${p.y}L${q.x} ${q.y}`);
  };

  return {
    element,
    dimension,
    chosen,
    setContent(before, next) {
      if (before?.contacts !== next.contacts || before.numbering !== next.numbering) {
        marks = next.contacts.flatMap((contact) => {
          const at = contact.pointA ?? contact.pointB;
          if (at === null) return [];
          const mark = makeMark(contact, next.numbering, actions);
          return [{ element: mark, contact, at: [at, contact.pointB ?? at] as const }];
        });
        element.replaceChildren(...marks.map((m) => m.element));
        element.hidden = marks.length === 0;
        rove(element);
      }
      selected = next.selected;
      for (const mark of marks) {
        mark.element.setAttribute('aria-pressed', String(isChosen(mark)));
        const { toothA, toothB } = mark.contact;
        const isReplaced = next.fitMarks.some(({ tooth }) => tooth === toothA || tooth === toothB);
        mark.element.classList.toggle('replaced', isReplaced);
      }
    },
    place(view) {
      for (const mark of marks) {
        const at = view.project(middleOf(movedPoints(mark, view)));
        put(mark.element, at, view.visible(middleOf(mark.at), CONTACT_GRACE_MM));
      }
      placeDimension(view);
    },
    obstacles: (view) =>
      marks
        .filter((mark) => !mark.element.classList.contains('behind'))
        .map((mark) => {
          const size = isChosen(mark) ? RING_SIZE_PX : MARK_SIZE_PX;
          return held(view.project(middleOf(movedPoints(mark, view))), size);
        }),
  };
}

function middleOf([a, b]: readonly [Vec3, Vec3]): Vec3 {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
}

function movedPoints(mark: ContactMark, view: Projection): [Vec3, Vec3] {
  return [view.moved(mark.contact.toothA, mark.at[0]), view.moved(mark.contact.toothB, mark.at[1])];
}

/** Where a restoration that is shown meets its neighbours. */
export function makeFitLayer(): OverlayLayer {
  const element = make('div', 'scan-view-group');
  let marks: readonly { readonly element: HTMLElement; readonly at: Vec3 }[] = [];
  return {
    element,
    setContent(before, next) {
      if (before?.fitMarks === next.fitMarks) return;
      marks = next.fitMarks.map((mark) => ({ element: makeFitMark(mark), at: mark.at }));
      element.replaceChildren(...marks.map((mark) => mark.element));
    },
    place(view) {
      for (const mark of marks)
        put(mark.element, view.project(mark.at), view.visible(mark.at, CONTACT_GRACE_MM));
    },
    obstacles: (view) =>
      marks
        .filter((mark) => !mark.element.classList.contains('behind'))
        .map((mark) => held(view.project(mark.at), FIT_MARK_SIZE_PX)),
  };
}
