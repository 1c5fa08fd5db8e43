/** Where a label would like to be: centred at (x, y), in CSS pixels. */
export interface LabelWish {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  /** Stays where it is; the others keep clear of it. */
  readonly held?: boolean;
}

export interface LabelPlace {
  readonly x: number;
  readonly y: number;
}

export interface LabelRoom {
  readonly width: number;
  readonly height: number;
  /** Strip at the top that no label enters, px. */
  readonly top: number;
  /** Free space kept between two labels and at the rim, px. */
  readonly gap: number;
}

/** Rounds in which labels are also drawn back to their wishes. */
const PULLED_ROUNDS = 30;
/** Rounds at most after that, which only push: a full arch drawn tiny needs about a hundred. */
const PUSHED_ROUNDS = 400;
/** Share of the way back to its wish that a label goes in each round. */
const PULL = 0.06;

/**
 * Moves labels apart until none overlap, each staying as near to its wish as it can and inside the view. The answer
 * depends on the input alone, and small changes of the wishes give small changes of the places, so labels do not
 * jump while the view turns.
 *
 * Contributor note: a greedy choice among a few fixed positions is quicker but makes labels hop between positions.
 */
export function layOutLabels(wishes: readonly LabelWish[], room: LabelRoom): LabelPlace[] {
  const x = wishes.map((w) => w.x);
  const y = wishes.map((w) => w.y);
  for (let round = 0; round < PULLED_ROUNDS + PUSHED_ROUNDS; round++) {
    const pull = round < PULLED_ROUNDS ? PULL : 0;
    for (let i = 0; i < wishes.length; i++) {
      x[i]! += (wishes[i]!.x - x[i]!) * pull;
      y[i]! += (wishes[i]!.y - y[i]!) * pull;
    }
    const moved = pushApart(wishes, x, y, room.gap);
    keepInside(wishes, x, y, room);
    if (!moved && pull === 0) break;
  }
  return wishes.map((_, i) => ({ x: x[i]!, y: y[i]! }));
}

/** Beside something held a label moves up or down, unless it hardly overlaps sideways. */
const HELD_SIDEWAYS = 0.25;

/** Overlapping pairs part along the axis of least overlap, half each unless one is held. True when something moved. */
function pushApart(wishes: readonly LabelWish[], x: number[], y: number[], gap: number): boolean {
  let moved = false;
  for (let i = 0; i < wishes.length; i++) {
    for (let j = i + 1; j < wishes.length; j++) {
      const share = shareOf(wishes[i]!, wishes[j]!);
      if (share === null) continue;
      const dx = x[j]! - x[i]!;
      const dy = y[j]! - y[i]!;
      const overX = (wishes[i]!.width + wishes[j]!.width) / 2 + gap - Math.abs(dx);
      const overY = (wishes[i]!.height + wishes[j]!.height) / 2 + gap - Math.abs(dy);
      if (overX <= 0 || overY <= 0) continue;
      moved = true;
      // A hair more than needed, so that rounding does not leave them touching.
      // A label between two held things is pushed past them, not to and fro between them: rows run across the screen.
      const sideways = share === 0.5 ? overX < overY : overX < overY * HELD_SIDEWAYS;
      if (sideways) {
        const push = (overX + 0.02) * (dx < 0 ? -1 : 1);
        x[i]! -= push * share;
        x[j]! += push * (1 - share);
      } else {
        const push = (overY + 0.02) * (dy < 0 ? -1 : 1);
        y[i]! -= push * share;
        y[j]! += push * (1 - share);
      }
    }
  }
  return moved;
}

/** How much of a push the first of a pair takes; null when neither may move. */
function shareOf(first: LabelWish, second: LabelWish): number | null {
  if (first.held && second.held) return null;
  if (first.held) return 0;
  return second.held ? 1 : 0.5;
}

function keepInside(wishes: readonly LabelWish[], x: number[], y: number[], room: LabelRoom): void {
  for (let i = 0; i < wishes.length; i++) {
    const { width, height, held } = wishes[i]!;
    if (held) continue;
    x[i] = clamp(x[i]!, width / 2 + room.gap, room.width - width / 2 - room.gap);
    y[i] = clamp(y[i]!, room.top + height / 2 + room.gap, room.height - height / 2 - room.gap);
  }
}

function clamp(value: number, low: number, high: number): number {
  return low > high ? (low + high) / 2 : Math.min(Math.max(value, low), high);
}
