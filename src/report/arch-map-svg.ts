import type { Analysis, Contact } from '../contacts/types.ts';
import type { Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import { formatTooth } from '../teeth/notation.ts';
import { textbookSize } from '../teeth/tooth-sizes-table.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import { describeContact } from './contact-words.ts';
import { type CrownSource, crownShape, polygonPath } from './crown-shape.ts';
import { escapeText } from './escape-text.ts';
import { formatMm } from './format-mm.ts';
import type { MotionArrows } from './motion-arrows.ts';
import { px, strokePath, type TextAnchor } from './svg-path.ts';

/**
 * The arch map: the outlines of the crowns seen from their tops, where they stand in the occlusal plane, and every
 * contact with what was found there; spaces are drawn again outside of the arch, several times as wide. The patient's right is on the left, as on a dental chart; incisors
 * stand at the top for an upper arch and at the bottom for a lower one. Layout only, like the other pictures.
 */

export interface MapSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

interface MapTooth {
  readonly tooth: ToothNumber;
  readonly label: string;
  readonly x: number;
  readonly y: number;
  /** Closed outline, path data. */
  readonly outline: string;
  /** Where the number stands outside the arch, when something else is drawn on the crown, px. */
  readonly outside: { readonly x: number; readonly y: number };
  /** Neighbours alternate between the two tints. */
  readonly tint: 0 | 1;
  readonly fixed: boolean;
  /** Whether the outline is that of the scan, or a form of the measured or of a textbook width stands in for it. */
  readonly drawnFrom: CrownSource;
}

interface MapContact {
  readonly index: number;
  readonly status: Contact['status'];
  readonly x: number;
  readonly y: number;
  /** A mark across the arch at the contact: path data. */
  readonly tick: string;
  /** The space again outside of the arch, `magnification` times as wide: path data; empty without a label. */
  readonly magnified: string;
  /** From the contact to its label outside the arch; empty without a label. */
  readonly leader: string;
  readonly label: {
    readonly text: string;
    readonly x: number;
    readonly y: number;
    readonly anchor: TextAnchor;
  } | null;
  readonly title: string;
}

export interface ArchMapModel extends MapSize {
  readonly pxPerMm: number;
  /** How many times as wide as true the spaces stand outside of the arch; null when none does. */
  readonly magnification: number | null;
  readonly teeth: readonly MapTooth[];
  readonly contacts: readonly MapContact[];
  readonly sides: readonly { readonly text: string; readonly x: number; readonly y: number }[];
  readonly scaleBar: {
    readonly x: number;
    readonly y: number;
    readonly lengthPx: number;
    readonly label: string;
  };
  readonly title: string;
}

type Point = readonly [number, number];

/** Room for labels outside the arch, px. */
const MARGIN_PX = 40;
/** From the crown to a number that stands outside the arch, px. */
const OUTSIDE_LABEL_PX = 10;
const LEADER_PX = 13;
const LEADER_STEP_PX = 7;
const MOST_LEADER_STEPS = 4;
/** What a number takes, px. */
const LABEL_WIDTH_PX = 31;
const LABEL_HEIGHT_PX = 13;
const SCALE_BAR_MM = 10;
const MAGNIFICATIONS = [1, 2, 5, 10] as const;
/** A space outside of the arch is drawn at most this wide and this high. */
const WIDEST_SPACE_PX = 34;
const SPACE_HEIGHT_PX = 11;

/** Lays out the arch map. */
export function archMap(analysis: Analysis, size: MapSize, numbering: NumberingScheme): ArchMapModel {
  const flat = flattener(analysis);
  const centres = analysis.teeth.map((record) => flat(record.centre));
  const down = analysis.jaw === 'upper' ? -1 : 1;
  const shapes = analysis.teeth.map((record, k) =>
    crownShape(record, centres[k]!, tangent(centres, k), down),
  );
  const box = bounds(shapes.flatMap(({ outline }) => outline));
  const pxPerMm = Math.min(
    (size.widthPx - 2 * MARGIN_PX) / Math.max(1, box.width),
    (size.heightPx - 2 * MARGIN_PX + 12) / Math.max(1, box.height),
  );
  const toPx = ([u, v]: Point): Point => [
    size.widthPx / 2 + (u - box.midU) * pxPerMm,
    size.heightPx / 2 + (v - box.midV) * pxPerMm,
  ];
  const inside = toPx([box.midU, box.midV]);
  const teeth = analysis.teeth.map((record, index): MapTooth => {
    const centre = centres[index]!;
    const { outline, drawnFrom, buccolingualMm } = shapes[index]!;
    const along = tangent(centres, index);
    const [x, y] = toPx(centre);
    const out = awayFrom(inside, [x, y], [-along[1], along[0]]);
    const reachPx = (buccolingualMm / 2) * pxPerMm + OUTSIDE_LABEL_PX;
    return {
      tooth: record.tooth,
      label: formatTooth(record.tooth, numbering),
      x,
      y,
      outline: polygonPath(outline.map(toPx)),
      outside: { x: x + out[0] * reachPx, y: y + out[1] * reachPx },
      tint: index % 2 === 0 ? 0 : 1,
      fixed: record.fixed,
      drawnFrom,
    };
  });
  const magnification = fittingMagnification(analysis.contacts, pxPerMm);
  const contacts: MapContact[] = [];
  for (const [index, contact] of analysis.contacts.entries()) {
    const input = { contact, index, analysis, centres, flat, toPx, inside, numbering, magnification };
    let laid = layContact(input, LEADER_PX);
    // Farther out until the number stands clear of those before it.
    for (let step = 1; step <= MOST_LEADER_STEPS && clashes(laid, contacts); step++) {
      laid = layContact(input, LEADER_PX + step * LEADER_STEP_PX);
    }
    contacts.push(laid);
  }
  // The open end of the arch: behind the last molars there is room for words.
  const backY = analysis.jaw === 'upper' ? size.heightPx - 10 : 16;
  return {
    ...size,
    pxPerMm,
    magnification: contacts.some(({ magnified }) => magnified !== '') ? magnification : null,
    teeth,
    contacts,
    sides: [
      { text: 'right', x: teeth[0]?.x ?? 0, y: backY },
      { text: 'left', x: teeth[teeth.length - 1]?.x ?? 0, y: backY },
    ],
    scaleBar: {
      x: size.widthPx / 2 - (SCALE_BAR_MM * pxPerMm) / 2,
      y: backY,
      lengthPx: SCALE_BAR_MM * pxPerMm,
      label: `${SCALE_BAR_MM} mm`,
    },
    title: `Map of the ${analysis.jaw} arch, ${analysis.teeth.length} teeth, the patient’s right on the left.`,
  };
}

/** Into chart coordinates, mm: u to the right of the page (patient's left), v down the page. */
function flattener({ frame, jaw }: Analysis): (p: Vec3) => Point {
  const down = jaw === 'upper' ? -1 : 1;
  return (p) => {
    const offset = sub(p, frame.origin);
    return [dot(offset, frame.x), down * dot(offset, frame.y)];
  };
}

function bounds(points: readonly Point[]) {
  let [u0, v0] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  let [u1, v1] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const [u, v] of points) {
    u0 = Math.min(u0, u);
    u1 = Math.max(u1, u);
    v0 = Math.min(v0, v);
    v1 = Math.max(v1, v);
  }
  const some = points.length > 0;
  return {
    midU: some ? (u0 + u1) / 2 : 0,
    midV: some ? (v0 + v1) / 2 : 0,
    width: some ? u1 - u0 : 0,
    height: some ? v1 - v0 : 0,
  };
}

/** Unit direction of the arch at a tooth, from the centres of its neighbours. */
function tangent(centres: readonly Point[], index: number): Point {
  const before = centres[Math.max(0, index - 1)]!;
  const after = centres[Math.min(centres.length - 1, index + 1)]!;
  return unit([after[0] - before[0], after[1] - before[1]]);
}

function unit([u, v]: Point): Point {
  const length = Math.hypot(u, v);
  return length > 0 ? [u / length, v / length] : [1, 0];
}

/** The direction across the arch that points away from its inside. */
function awayFrom(inside: Point, place: Point, across: Point): Point {
  const outward = (place[0] - inside[0]) * across[0] + (place[1] - inside[1]) * across[1] >= 0 ? 1 : -1;
  return [across[0] * outward, across[1] * outward];
}

interface ContactInput {
  readonly contact: Contact;
  readonly index: number;
  readonly analysis: Analysis;
  readonly centres: readonly Point[];
  readonly flat: (p: Vec3) => Point;
  readonly toPx: (p: Point) => Point;
  /** Middle of the arch, px: labels go away from it. */
  readonly inside: Point;
  readonly numbering: NumberingScheme;
  readonly magnification: number;
}

/** True when a label would run into one that is already placed. */
function clashes({ label }: MapContact, placed: readonly MapContact[]): boolean {
  return placed.some(
    ({ label: other }) =>
      label !== null &&
      other !== null &&
      Math.abs(label.x - other.x) < LABEL_WIDTH_PX &&
      Math.abs(label.y - other.y) < LABEL_HEIGHT_PX,
  );
}

function layContact(input: ContactInput, leaderPx: number): MapContact {
  const { contact, index, analysis, centres, flat, toPx, inside, numbering, magnification } = input;
  const centreOf = (tooth: ToothNumber): Point =>
    centres[analysis.teeth.findIndex((record) => record.tooth === tooth)] ?? [0, 0];
  const [a, b] = [centreOf(contact.toothA), centreOf(contact.toothB)];
  const place: Point =
    contact.pointA && contact.pointB ? mid(flat(contact.pointA), flat(contact.pointB)) : mid(a, b);
  const along = unit([b[0] - a[0], b[1] - a[1]]);
  const p = toPx(place);
  const out = awayFrom(inside, p, [-along[1], along[0]]);
  const pxPerMm = Math.abs(toPx([1, 0])[0] - toPx([0, 0])[0]);
  const toothReach = reachMm(analysis, contact) * pxPerMm;
  const at = (by: number): Point => [p[0] + out[0] * by, p[1] + out[1] * by];
  const words = labelOf(contact);
  const widthPx = (contact.gap?.valueMm ?? 0) * magnification * pxPerMm;
  const glyphPx = words === null || widthPx <= 0 ? 0 : SPACE_HEIGHT_PX;
  const end = at(toothReach + leaderPx);
  const anchor = out[0] > 0.35 ? 'start' : out[0] < -0.35 ? 'end' : 'middle';
  const textAt = at(toothReach + leaderPx + glyphPx + (anchor === 'middle' ? 9 : 5));
  return {
    index,
    status: contact.status,
    x: p[0],
    y: p[1],
    tick: strokePath(at(-7), at(7)),
    magnified: glyphPx === 0 ? '' : spacePath(end, out, widthPx),
    leader: words === null ? '' : strokePath(at(10), end),
    label: words === null ? null : { text: words, x: textAt[0], y: textAt[1] + 4, anchor },
    title: describeContact(contact, numbering),
  };
}

/** Two walls, the space between them: path data of a letter H whose stroke across is the space. */
function spacePath(foot: Point, out: Point, widthPx: number): string {
  const across: Point = [-out[1], out[0]];
  const corner = (side: 1 | -1, up: number): Point => [
    foot[0] + (side * across[0] * widthPx) / 2 + out[0] * up * SPACE_HEIGHT_PX,
    foot[1] + (side * across[1] * widthPx) / 2 + out[1] * up * SPACE_HEIGHT_PX,
  ];
  return [
    strokePath(corner(-1, 0), corner(-1, 1)),
    strokePath(corner(1, 0), corner(1, 1)),
    strokePath(corner(-1, 0.5), corner(1, 0.5)),
  ].join('');
}

/** The largest usual factor that keeps the widest space that is shown short. */
function fittingMagnification(contacts: readonly Contact[], pxPerMm: number): number {
  const widest = Math.max(0, ...contacts.map((one) => (labelOf(one) === null ? 0 : (one.gap?.valueMm ?? 0))));
  return MAGNIFICATIONS.findLast((factor) => widest * factor * pxPerMm <= WIDEST_SPACE_PX) ?? 1;
}

function labelOf(contact: Contact): string | null {
  if (contact.gap === null || contact.status === 'closed') return null;
  return formatMm(contact.gap.valueMm);
}

/** How far the crowns at a contact reach outwards, mm. */
function reachMm(analysis: Analysis, contact: Contact): number {
  const widths = analysis.teeth
    .filter((record) => record.tooth === contact.toothA || record.tooth === contact.toothB)
    .map((record) => record.buccolingualMm ?? textbookSize(record.tooth).buccolingualMm);
  return Math.max(0, ...widths) / 2;
}

function mid(p: Point, q: Point): Point {
  return [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
}

/**
 * The map as one SVG element with classes `am-...`; colours come from the stylesheet round it. With arrows it shows how
 * the crowns move, and leaves out what stands at the contacts.
 */
export function renderArchMapSvg(model: ArchMapModel, motion: MotionArrows | null = null): string {
  const out: string[] = [
    `<svg class="am" viewBox="${sightOf(model)}" role="img" aria-label="${escapeText(model.title)}">`,
  ];
  for (const tooth of model.teeth) {
    const classes = ['am-tooth', `am-tint-${tooth.tint}`];
    if (tooth.drawnFrom === 'textbook') classes.push('am-unsized');
    if (tooth.fixed) classes.push('am-fixed');
    out.push(`<path class="${classes.join(' ')}" d="${tooth.outline}"/>`);
  }
  for (const contact of motion === null ? model.contacts : []) {
    out.push(`<g class="am-contact am-${contact.status}"><title>${escapeText(contact.title)}</title>`);
    if (contact.leader) out.push(`<path class="am-leader" d="${contact.leader}"/>`);
    out.push(`<path class="am-tick" d="${contact.tick}"/>`);
    if (contact.magnified) out.push(`<path class="am-space" d="${contact.magnified}"/>`);
    if (contact.label) {
      const { x, y, text, anchor } = contact.label;
      out.push(
        `<text class="am-value" x="${px(x)}" y="${px(y)}" text-anchor="${anchor}">${escapeText(text)}</text>`,
      );
    }
    out.push('</g>');
  }
  for (const tooth of model.teeth) {
    const { x, y } = motion === null ? tooth : tooth.outside;
    out.push(
      `<text class="am-label" x="${px(x)}" y="${px(y + 4)}" text-anchor="middle">${escapeText(tooth.label)}</text>`,
    );
  }
  if (motion !== null) out.push(...arrowElements(motion));
  else if (model.magnification !== null && model.magnification > 1) {
    const { x: midX, lengthPx: barPx } = model.scaleBar;
    const y = model.heightPx / 2;
    for (const [k, text] of [
      'spaces outside the arch are',
      `drawn ${model.magnification} times as wide`,
    ].entries()) {
      out.push(
        `<text class="am-side" x="${px(midX + barPx / 2)}" y="${px(y + 13 * k)}" text-anchor="middle">${text}</text>`,
      );
    }
  }
  for (const side of model.sides) {
    out.push(
      `<text class="am-side" x="${px(side.x)}" y="${px(side.y)}" text-anchor="middle">${side.text}</text>`,
    );
  }
  const { x, y, lengthPx, label } = model.scaleBar;
  out.push(
    `<path class="am-scale" d="M${px(x)} ${px(y - 4)}v4h${px(lengthPx)}v-4"/>`,
    `<text class="am-scale-label" x="${px(x + lengthPx / 2)}" y="${px(y - 7)}" text-anchor="middle">${label}</text></svg>`,
  );
  return out.join('');
}

/** The whole size, and what of the numbers stands beyond it. */
function sightOf({ widthPx, heightPx, contacts }: ArchMapModel): string {
  let [left, top, right, bottom] = [0, 0, widthPx, heightPx];
  for (const { label } of contacts) {
    if (label === null) continue;
    const { x, y, anchor } = label;
    const before = { start: 0, middle: 0.5, end: 1 }[anchor] * LABEL_WIDTH_PX;
    left = Math.min(left, x - before);
    right = Math.max(right, x - before + LABEL_WIDTH_PX);
    top = Math.min(top, y - LABEL_HEIGHT_PX);
    bottom = Math.max(bottom, y + LABEL_HEIGHT_PX / 3);
  }
  return [left, top, right - left, bottom - top].map(px).join(' ');
}

function arrowElements({ arrows }: MotionArrows): string[] {
  const path = (name: string, d: string): string => (d === '' ? '' : `<path class="${name}" d="${d}"/>`);
  return arrows.map(
    ({ shaft, head, turn, turnHead, title }) =>
      `<g class="am-motion"><title>${escapeText(title)}</title>${path('am-turn', turn)}${path('am-turn-head', turnHead)}${path('am-shaft', shaft)}${path('am-head', head)}</g>`,
  );
}
