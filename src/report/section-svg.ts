import type { Contact, SectionProfile } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { describeContact, pairLabel } from './contact-words.ts';
import { formatGap, formatMm } from './format-mm.ts';
import { gumCaption, type SectionCaption, upCaption } from './section-captions.ts';
import { dimensionOf, type SectionDimension } from './section-dimension.ts';
import type { PanelFrame, PlacedText } from './section-frame.ts';
import { joinLines, longestLine, type Point, runsWhere } from './section-lines.ts';
import { bodyOf, gumBodyOf, pathOf } from './section-paths.ts';

/**
 * The section picture: the cut through both proximal walls along the arch, crowns up, as one profile and, where the
 * space was measured, a lens on the closest place. Works out paths and places; draws nothing itself.
 */

export interface SectionSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** One tooth as cut. Paths in picture pixels, to be clipped to the panel's frame. */
interface SectionTooth {
  readonly which: 'A' | 'B';
  /** The cut lines, smooth, as path data. */
  readonly outline: string;
  /** The crown's inside for a quiet tint; it fades out below the scan, where nothing was seen. Empty if unknown. */
  readonly body: string;
  readonly label: PlacedText | null;
}

export interface SectionPanel {
  readonly kind: 'profile' | 'lens';
  readonly frame: PanelFrame;
  readonly pxPerMm: number;
  readonly teeth: readonly SectionTooth[];
  /** The fitted walls where they cross the cut (lens only): what the number rests on. Path data. */
  readonly fits: readonly { readonly which: 'A' | 'B'; readonly path: string }[];
  readonly gumOutline: string;
  readonly gumBody: string;
  /** The two closest points; empty when nothing was measured. */
  readonly points: readonly { readonly which: 'A' | 'B'; readonly x: number; readonly y: number }[];
  readonly dimension: SectionDimension | null;
  readonly scaleBar: {
    readonly x: number;
    readonly y: number;
    readonly lengthPx: number;
    readonly label: string;
  };
  /** Where the lens looks (profile only). */
  readonly lensMark: {
    readonly x: number;
    readonly y: number;
    readonly widthPx: number;
    readonly heightPx: number;
  } | null;
  /** Quiet words at the rim. */
  readonly captions: readonly SectionCaption[];
}

export interface SectionPictureModel extends SectionSize {
  readonly pair: string;
  readonly panels: readonly SectionPanel[];
  /** One line under the picture; empty when there is nothing to add. */
  readonly remark: string;
  readonly title: string;
}

/** Window of the profile, mm: wide enough for both walls and, within bounds, high enough for papilla and cusps. */
const PROFILE_HEIGHT_MM = 8.4;
const PROFILE_MOST_HEIGHT_MM = 12;
const PROFILE_RIM_MM = 0.9;
const PROFILE_LEAST_WIDTH_MM = 7;
/** The lens shows the space and as much wall on either side. */
const LENS_LEAST_MM = 1.1;
/** Lengths of the lens's scale bar; the shortest that its words stand over without leaving the frame. */
const LENS_BARS_MM = [0.1, 0.2, 0.5] as const;
const LEAST_BAR_PX = 26;
/** Points of a cut line closer together than this are one point to the eye and would make a smooth curve ripple. */
const DRAW_STEP_MM = 0.12;
const LENS_STEP_MM = 0.05;
/** Below this the out-of-plane part of the distance does not show in two decimals of any space worth drawing. */
const IN_PLANE_MM = 0.05;
/** A fitted wall is drawn where a point of the cut line is this near: points lie up to an edge length apart. */
const FIT_NEAR_MM = 0.16;
const PANEL_GAP_PX = 12;
/** From this width on the lens stands beside the profile; in a narrower picture this much higher than wide, below it. */
const LENS_BESIDE_FROM_PX = 440;
const LENS_BELOW_FROM = 1.1;
/** Share of the lens in the height where it stands below. */
const LENS_BELOW_SHARE = 0.44;
/** Half the width of a tooth number, and how far it stays below the crown's outline, px. */
const LABEL_HALF_PX = 20;
const LABEL_BELOW_PX = 30;
/** The top of a crown in the picture dips by less than this, px. */
const CROWN_TOP_PX = 50;

/**
 * Lays out the section picture.
 * @param size - of the whole picture, px; with at least 440 px of width the lens stands beside the profile, in a
 *   narrower one that is higher than wide below it; else there is none
 */
export function sectionPicture(
  profile: SectionProfile,
  contact: Contact,
  size: SectionSize,
  numbering: NumberingScheme = 'iso',
): SectionPictureModel {
  const measured = contact.gap !== null && profile.a !== null && profile.b !== null;
  const [profileFrame, lensFrame] = framesOf(size, measured);
  const lines = {
    A: joinLines(profile.linesA),
    B: joinLines(profile.linesB),
    gum: joinLines(profile.linesGum),
  };
  const input = { profile, contact, lines, numbering };
  const panels = lensFrame
    ? [layProfile(input, profileFrame, lensSpanMm(profile)), layLens(input, lensFrame)]
    : [layProfile(input, profileFrame, null)];
  return {
    ...size,
    pair: pairLabel(profile.toothA, profile.toothB, numbering),
    panels,
    remark: remarkOf(profile, contact),
    title: `Section through ${describeContact(contact, numbering)}`,
  };
}

/** Where profile and lens stand; null = no lens. */
function framesOf({ widthPx, heightPx }: SectionSize, measured: boolean): [PanelFrame, PanelFrame | null] {
  if (measured && widthPx >= LENS_BESIDE_FROM_PX) {
    const lensPx = Math.min(heightPx, (widthPx - PANEL_GAP_PX) * 0.46);
    return [
      { x: 0, y: 0, widthPx: widthPx - lensPx - PANEL_GAP_PX, heightPx },
      { x: widthPx - lensPx, y: 0, widthPx: lensPx, heightPx },
    ];
  }
  if (measured && heightPx >= LENS_BELOW_FROM * widthPx) {
    const lensPx = (heightPx - PANEL_GAP_PX) * LENS_BELOW_SHARE;
    return [
      { x: 0, y: 0, widthPx, heightPx: heightPx - lensPx - PANEL_GAP_PX },
      { x: 0, y: heightPx - lensPx, widthPx, heightPx: lensPx },
    ];
  }
  return [{ x: 0, y: 0, widthPx, heightPx }, null];
}

interface PanelInput {
  readonly profile: SectionProfile;
  readonly contact: Contact;
  readonly lines: { readonly A: Point[][]; readonly B: Point[][]; readonly gum: Point[][] };
  readonly numbering: NumberingScheme;
}

function remarkOf(profile: SectionProfile, contact: Contact): string {
  if (contact.gap !== null && profile.outOfPlaneMm > IN_PLANE_MM) {
    return `The closest points lie ${formatMm(profile.outOfPlaneMm)} mm apart across the cut, so the picture shows less than the whole distance.`;
  }
  if (contact.gap !== null) return '';
  if (contact.bridge === 'full')
    return 'The scan runs across from tooth to tooth; what lies behind was not seen.';
  return 'No space is given for this contact.';
}

/** Side of the square the lens looks at, mm. */
function lensSpanMm({ a, b }: SectionProfile): number {
  const gap = a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
  return Math.max(LENS_LEAST_MM, gap * 3);
}

function layProfile(input: PanelInput, frame: PanelFrame, lensMm: number | null): SectionPanel {
  const { profile, lines, contact, numbering } = input;
  const window = profileWindow(input);
  const pxPerMm = Math.min(frame.heightPx / window.heightMm, frame.widthPx / PROFILE_LEAST_WIDTH_MM);
  const centre: Point = [0, centreWithin(window.middleMm, frame.heightPx / pxPerMm)];
  const toPx = mapping(frame, centre, pxPerMm);
  const a = profile.a && toPx(profile.a);
  const b = profile.b && toPx(profile.b);
  const lensPx = lensMm === null ? null : lensMm * pxPerMm;
  const middle = a && b ? ([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] as const) : null;
  const labelY = frame.y + frame.heightPx * 0.42;
  const lens =
    lensPx === null || middle === null
      ? null
      : { x: middle[0] - lensPx / 2, y: middle[1] - lensPx / 2, widthPx: lensPx, heightPx: lensPx };
  return {
    kind: 'profile',
    frame,
    pxPerMm,
    teeth: (['A', 'B'] as const).map((which) => ({
      which,
      outline: pathOf(lines[which], toPx, frame, DRAW_STEP_MM),
      body: bodyOf(lines[which], toPx, frame, DRAW_STEP_MM),
      label: toothLabel(lines[which], toPx, frame, labelY, {
        text: formatTooth(which === 'A' ? profile.toothA : profile.toothB, numbering),
        side: which === 'A' ? -1 : 1,
      }),
    })),
    fits: [],
    gumOutline: pathOf(lines.gum, toPx, frame, DRAW_STEP_MM),
    gumBody: gumBodyOf(lines.gum, toPx, frame, DRAW_STEP_MM),
    points: pointsOf(a, b),
    dimension:
      lens === null && a && b && contact.gap ? dimensionOf(a, b, frame, formatGap(contact.gap)) : null,
    scaleBar: { x: frame.x + 14, y: frame.y + frame.heightPx - 14, lengthPx: pxPerMm, label: '1 mm' },
    lensMark: lens,
    captions: [...upCaption([...lines.A, ...lines.B], toPx, frame), ...gumCaption(lines.gum, toPx, frame)],
  };
}

function layLens(input: PanelInput, frame: PanelFrame): SectionPanel {
  const { profile, lines, contact } = input;
  const spanMm = lensSpanMm(profile);
  const pxPerMm = Math.min(frame.widthPx, frame.heightPx) / spanMm;
  const a0: Point = profile.a ?? [0, 0];
  const b0: Point = profile.b ?? [0, 0];
  const toPx = mapping(frame, [(a0[0] + b0[0]) / 2, (a0[1] + b0[1]) / 2], pxPerMm);
  const [a, b] = [toPx(a0), toPx(b0)];
  const fits = fitPaths(input, toPx, frame);
  const barMm = LENS_BARS_MM.find((length) => length * pxPerMm >= LEAST_BAR_PX) ?? 1;
  return {
    kind: 'lens',
    frame,
    pxPerMm,
    teeth: (['A', 'B'] as const).map((which) => ({
      which,
      outline: pathOf(lines[which], toPx, frame, LENS_STEP_MM),
      body: bodyOf(lines[which], toPx, frame, LENS_STEP_MM),
      label: null,
    })),
    fits,
    gumOutline: pathOf(lines.gum, toPx, frame, LENS_STEP_MM),
    gumBody: gumBodyOf(lines.gum, toPx, frame, DRAW_STEP_MM),
    points: pointsOf(a, b),
    dimension: contact.gap ? dimensionOf(a, b, frame, formatGap(contact.gap)) : null,
    scaleBar: {
      x: frame.x + 14,
      y: frame.y + frame.heightPx - 14,
      lengthPx: barMm * pxPerMm,
      label: `${barMm} mm`,
    },
    lensMark: null,
    captions:
      fits.length === 0
        ? []
        : [
            {
              what: 'fit',
              text: 'band: fitted wall',
              x: frame.x + frame.widthPx - 12,
              y: frame.y + frame.heightPx - 11,
              anchor: 'end',
            },
          ],
  };
}

/** The fitted walls, where the scan shows a wall: a polynomial goes on below the gum, where it means nothing. */
function fitPaths(
  { profile, lines }: PanelInput,
  toPx: (p: Point) => Point,
  frame: PanelFrame,
): SectionPanel['fits'] {
  const fits = [
    { which: 'A' as const, flat: profile.fitA, walls: lines.A.flat() },
    { which: 'B' as const, flat: profile.fitB, walls: lines.B.flat() },
  ];
  return fits.flatMap(({ which, flat, walls }) => {
    const runs = joinLines(flat ? [flat] : []).flatMap((line) =>
      runsWhere(line, (point) => liesNear(walls, point, FIT_NEAR_MM)),
    );
    const path = pathOf(runs, toPx, frame, LENS_STEP_MM);
    return path === '' ? [] : [{ which, path }];
  });
}

/** Whether any of the points lies nearer than that. */
function liesNear(points: readonly Point[], [u, v]: Point, mm: number): boolean {
  for (const p of points) if (Math.hypot(p[0] - u, p[1] - v) < mm) return true;
  return false;
}

/** Millimetres of the section plane to picture pixels: v upwards becomes y downwards. */
function mapping(frame: PanelFrame, centre: Point, pxPerMm: number): (p: Point) => Point {
  const midX = frame.x + frame.widthPx / 2;
  const midY = frame.y + frame.heightPx / 2;
  return ([u, v]) => [midX + (u - centre[0]) * pxPerMm, midY - (v - centre[1]) * pxPerMm];
}

/** How high the window is and where its middle would be, so that the papilla and the crowns' tops both come in. */
function profileWindow({ lines }: PanelInput): { readonly heightMm: number; readonly middleMm: number } {
  const walls = heightsWithin([...lines.A, ...lines.B], PROFILE_LEAST_WIDTH_MM / 2);
  const gum = heightsWithin(lines.gum, PROFILE_LEAST_WIDTH_MM / 4);
  if (walls === null) return { heightMm: PROFILE_HEIGHT_MM, middleMm: 0 };
  const top = walls.high;
  const bottom = Math.min(walls.low, gum?.low ?? walls.low);
  const wanted = top - bottom + 2 * PROFILE_RIM_MM;
  return {
    heightMm: Math.max(PROFILE_HEIGHT_MM, Math.min(PROFILE_MOST_HEIGHT_MM, wanted)),
    middleMm: (top + bottom) / 2,
  };
}

/** Least and greatest height of the lines within a distance of the middle, mm; null where none comes so near. */
function heightsWithin(
  lines: readonly Point[][],
  mm: number,
): { readonly low: number; readonly high: number } | null {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const line of lines) {
    for (const [u, v] of line) {
      if (Math.abs(u) >= mm) continue;
      low = Math.min(low, v);
      high = Math.max(high, v);
    }
  }
  return low > high ? null : { low, high };
}

/** The closest place stays well inside the window, whatever the extent. */
function centreWithin(middleMm: number, heightMm: number): number {
  const most = heightMm * 0.34;
  return Math.max(-most, Math.min(most, middleMm));
}

/** The number stands inside its tooth, as far from the other tooth as the frame lets it. */
function toothLabel(
  lines: readonly Point[][],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
  y: number,
  label: { readonly text: string; readonly side: -1 | 1 },
): PlacedText | null {
  const largest = longestLine(lines);
  if (!largest) return null;
  const drawn = largest.map(toPx);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const [x] of drawn) {
    if (x < frame.x || x > frame.x + frame.widthPx) continue;
    low = Math.min(low, x);
    high = Math.max(high, x);
  }
  if (low > high) return null;
  const centre = frame.x + frame.widthPx / 2;
  const inner = label.side < 0 ? Math.min(high, centre) : Math.max(low, centre);
  const outer = label.side < 0 ? Math.max(low, frame.x) : Math.min(high, frame.x + frame.widthPx);
  const x = (inner + outer) / 2;
  // Below the crown's top as it runs over the number, dips included; walls farther down do not count.
  const over: number[] = [];
  for (const p of drawn) if (Math.abs(p[0] - x) < LABEL_HALF_PX) over.push(p[1]);
  if (over.length === 0) return { text: label.text, x, y };
  const top = Math.min(...over);
  const dip = Math.max(...over.filter((v) => v < top + CROWN_TOP_PX));
  return { text: label.text, x, y: Math.max(y, dip + LABEL_BELOW_PX) };
}

function pointsOf(a: Point | null, b: Point | null): SectionPanel['points'] {
  if (!a || !b) return [];
  return [
    { which: 'A', x: a[0], y: a[1] },
    { which: 'B', x: b[0], y: b[1] },
  ];
}
