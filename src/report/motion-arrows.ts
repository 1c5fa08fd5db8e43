import type { ToothMotion } from '../closure/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { Jaw, NumberingScheme, ToothNumber } from '../teeth/types.ts';
import { formatMm } from './format-mm.ts';
import { px } from './svg-path.ts';

/** What arrows need of the arch map: where the crowns stand, px, and its scale. */
interface CrownPlaces {
  readonly pxPerMm: number;
  readonly teeth: readonly { readonly tooth: ToothNumber; readonly x: number; readonly y: number }[];
}

/** How one tooth moves, drawn on the arch map. */
interface MotionArrow {
  readonly tooth: ToothNumber;
  /** Shaft from the middle of the crown to where it goes, and head: path data. */
  readonly shaft: string;
  readonly head: string;
  /** A turn that is worth drawing: an arc round the crown's middle, and its head, path data; else empty. */
  readonly turn: string;
  readonly turnHead: string;
  /** `13: 0.24 mm mesial, 0.05 mm inward, turns 0.3° counter-clockwise`. */
  readonly title: string;
}

export interface MotionArrows {
  /** How many times larger than the crowns the motions are drawn. */
  readonly exaggeration: number;
  readonly arrows: readonly MotionArrow[];
}

/** Motions below this print as 0.00 and get no arrow. */
const SHOWS_MM = 0.005;
const SHOWS_RAD = (0.05 * Math.PI) / 180;
const DEGREES = 180 / Math.PI;
const FACTORS = [1, 2, 5, 10, 20, 50, 100] as const;
/** The longest arrow: about a crown on a map of the usual size. */
const LONGEST_PX = 34;
const HEAD_PX = 5;
const TURN_RADIUS_PX = 10;
const TURN_HEAD_PX = 3.5;
const NO_TURN = { turn: '', turnHead: '' } as const;
/** A drawn turn below this is a dot, not an arc. */
const LEAST_TURN_RAD = (8 * Math.PI) / 180;
/** A drawn turn stops short of a full circle. */
const MOST_TURN_RAD = 1.5 * Math.PI;

/**
 * The motions of a span as arrows on the arch map, from the middle of every crown that moves.
 *
 * @param motions - of the span that is shown, occlusal frame (x to the patient's left, y to the front), mm and rad
 * @param exaggeration - how many times larger than true; absent: the largest of 1, 2, 5, 10, ... that keeps arrows
 *   shorter than a crown
 */
export function motionArrows(
  map: CrownPlaces,
  jaw: Jaw,
  motions: readonly ToothMotion[],
  numbering: NumberingScheme,
  exaggeration: number = fittingFactor(map, motions),
): MotionArrows {
  const down = jaw === 'upper' ? -1 : 1;
  const arrows = motions.flatMap((motion): MotionArrow[] => {
    const crown = map.teeth.find(({ tooth }) => tooth === motion.tooth);
    const travelMm = Math.hypot(motion.dxMm, motion.dyMm);
    const turns = Math.abs(motion.rotationRad) >= SHOWS_RAD;
    if (!crown || (travelMm < SHOWS_MM && !turns)) return [];
    const scale = map.pxPerMm * exaggeration;
    const step = [motion.dxMm * scale, down * motion.dyMm * scale] as const;
    return [
      {
        tooth: motion.tooth,
        ...(travelMm < SHOWS_MM ? { shaft: '', head: '' } : arrowPath(crown, step)),
        ...(turns ? turnPath(crown, motion.rotationRad * exaggeration) : NO_TURN),
        title: motionWords(motion, numbering),
      },
    ];
  });
  return { exaggeration, arrows };
}

/** The largest usual factor that keeps every arrow shorter than a crown. */
function fittingFactor({ pxPerMm }: CrownPlaces, motions: readonly ToothMotion[]): number {
  const longestMm = Math.max(SHOWS_MM, ...motions.map(({ dxMm, dyMm }) => Math.hypot(dxMm, dyMm)));
  return FACTORS.findLast((factor) => factor * longestMm * pxPerMm <= LONGEST_PX) ?? 1;
}

type Point = readonly [number, number];

function arrowPath(from: { readonly x: number; readonly y: number }, [dx, dy]: Point) {
  const length = Math.hypot(dx, dy);
  const along: Point = [dx / length, dy / length];
  const tip: Point = [from.x + dx, from.y + dy];
  const size = Math.min(HEAD_PX, length);
  const neck: Point = [tip[0] - along[0] * size, tip[1] - along[1] * size];
  return {
    shaft: `M${px(from.x)} ${px(from.y)}L${px(neck[0])} ${px(neck[1])}`,
    head: headPath(tip, along, size),
  };
}

/** A filled triangle that ends at `tip`. */
function headPath(tip: Point, along: Point, size: number): string {
  const corner = (side: 1 | -1): string =>
    `${px(tip[0] - along[0] * size - side * along[1] * size * 0.5)} ${px(tip[1] - along[1] * size + side * along[0] * size * 0.5)}`;
  return `M${px(tip[0])} ${px(tip[1])}L${corner(1)}L${corner(-1)}Z`;
}

/**
 * An arc that begins above the middle of the crown; positive turns run counter-clockwise on the page: either map looks
 * at the crowns' tops, the lower one turned half round.
 */
function turnPath({ x, y }: { readonly x: number; readonly y: number }, drawnRad: number) {
  if (Math.abs(drawnRad) < LEAST_TURN_RAD) return NO_TURN;
  const way = drawnRad > 0 ? 1 : -1;
  const angle = way * Math.min(Math.abs(drawnRad), MOST_TURN_RAD);
  const at = (a: number): Point => [x - TURN_RADIUS_PX * Math.sin(a), y - TURN_RADIUS_PX * Math.cos(a)];
  const [start, end] = [at(0), at(angle)];
  const ahead: Point = [-way * Math.cos(angle), way * Math.sin(angle)];
  const tip: Point = [end[0] + ahead[0] * TURN_HEAD_PX, end[1] + ahead[1] * TURN_HEAD_PX];
  const large = Math.abs(angle) > Math.PI ? 1 : 0;
  return {
    turn: `M${px(start[0])} ${px(start[1])}A${TURN_RADIUS_PX} ${TURN_RADIUS_PX} 0 ${large} ${way > 0 ? 0 : 1} ${px(end[0])} ${px(end[1])}`,
    turnHead: headPath(tip, ahead, TURN_HEAD_PX),
  };
}

/** `13: 0.24 mm mesial, 0.05 mm inward, turns 0.3° counter-clockwise`. */
function motionWords(motion: ToothMotion, numbering: NumberingScheme): string {
  const parts: string[] = [];
  const say = (value: number, positive: string, negative: string): void => {
    if (Math.abs(value) >= SHOWS_MM)
      parts.push(`${formatMm(Math.abs(value))} mm ${value > 0 ? positive : negative}`);
  };
  say(motion.mesialMm, 'mesial', 'distal');
  say(motion.buccalMm, 'outward', 'inward');
  if (Math.abs(motion.rotationRad) >= SHOWS_RAD) {
    const way = motion.rotationRad > 0 ? 'counter-clockwise' : 'clockwise';
    parts.push(`turns ${(Math.abs(motion.rotationRad) * DEGREES).toFixed(1)}° ${way}`);
  }
  return `${formatTooth(motion.tooth, numbering)}: ${parts.join(', ')}`;
}
