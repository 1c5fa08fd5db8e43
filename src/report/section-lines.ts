/** A point of the section plane, (u, v) in mm. */
export type Point = readonly [number, number];

/** Ends closer than this belong to one line: the cut of a welded mesh meets exactly, up to rounding. */
const JOIN_MM = 0.02;

/** Flat coordinate lists to points; pieces whose ends meet become one line. */
export function joinLines(flat: readonly (readonly number[])[]): Point[][] {
  const pieces = flat.map(pointsOf);
  const joined: Point[][] = [];
  for (const piece of pieces) {
    if (piece.length < 2) continue;
    let current = piece;
    for (let k = joined.length - 1; k >= 0; k--) {
      const merged = merge(joined[k]!, current);
      if (merged) {
        joined.splice(k, 1);
        current = merged;
        k = joined.length;
      }
    }
    joined.push(current);
  }
  return joined;
}

function pointsOf(list: readonly number[]): Point[] {
  const points: Point[] = [];
  for (let k = 0; k + 1 < list.length; k += 2) points.push([list[k]!, list[k + 1]!]);
  return points;
}

function merge(p: Point[], q: Point[]): Point[] | null {
  if (isClosed(p) || isClosed(q)) return null;
  const [p0, p1, q0, q1] = [p[0]!, p[p.length - 1]!, q[0]!, q[q.length - 1]!];
  if (near(p1, q0)) return [...p, ...q.slice(1)];
  if (near(p1, q1)) return [...p, ...[...q].reverse().slice(1)];
  if (near(p0, q1)) return [...q, ...p.slice(1)];
  if (near(p0, q0)) return [...[...q].reverse(), ...p.slice(1)];
  return null;
}

function near(p: Point, q: Point): boolean {
  return Math.hypot(p[0] - q[0], p[1] - q[1]) < JOIN_MM;
}

/** True when a line ends where it began. */
export function isClosed(points: readonly Point[]): boolean {
  return points.length > 3 && near(points[0]!, points[points.length - 1]!);
}

/**
 * Leaves out points that follow too closely; the ends stay.
 * @param stepMm - smallest distance kept before a point
 */
export function thinLine(points: readonly Point[], stepMm: (p: Point) => number): Point[] {
  const kept: Point[] = [];
  for (const p of points) {
    const last = kept[kept.length - 1];
    if (!last || Math.hypot(p[0] - last[0], p[1] - last[1]) >= stepMm(p)) kept.push(p);
  }
  const end = points[points.length - 1];
  if (end && kept[kept.length - 1] !== end) kept.push(end);
  return kept;
}

/** The pieces of a line, two points or more, whose points all satisfy a condition. */
export function runsWhere(points: readonly Point[], holds: (p: Point) => boolean): Point[][] {
  const runs: Point[][] = [];
  let run: Point[] = [];
  for (const p of points) {
    if (holds(p)) run.push(p);
    else {
      if (run.length > 1) runs.push(run);
      run = [];
    }
  }
  if (run.length > 1) runs.push(run);
  return runs;
}

/** The longest of the lines by arc length; null when there is none. */
export function longestLine(lines: readonly Point[][]): Point[] | null {
  let best: Point[] | null = null;
  let most = 0;
  for (const points of lines) {
    let length = 0;
    for (let k = 1; k < points.length; k++) {
      length += Math.hypot(points[k]![0] - points[k - 1]![0], points[k]![1] - points[k - 1]![1]);
    }
    if (length > most) [best, most] = [points, length];
  }
  return best;
}
