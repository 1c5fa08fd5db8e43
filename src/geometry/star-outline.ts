/** Rays from the middle, one every three degrees. */
const RAYS = 120;
const STEP_RAD = (2 * Math.PI) / RAYS;
/** An edge seen end-on along a ray: its far end counts. */
const END_ON = 1e-12;

export type Point2 = readonly [number, number];

/**
 * How far a flat shape reaches along rays from its middle. Exact on each ray for a shape that is star-shaped from its
 * middle; a hollow that no straight line from the middle reaches is filled.
 */
export class StarOutline {
  /** Never used: as long as an object of a class is left, the engine keeps what it compiled for it (`MaxFlow`). */
  protected static readonly kept = new StarOutline([0, 0]);
  readonly #middle: Point2;
  readonly #reach = new Float64Array(RAYS);

  /** @param middle - mm */
  constructor(middle: Point2) {
    this.#middle = middle;
  }

  /** Takes a triangle of the shape in; corners in mm. */
  add(a: Point2, b: Point2, c: Point2): void {
    const corners = Float64Array.of(...a, ...b, ...c);
    for (let k = 0; k < 3; k += 1) this.addEdge(corners, k, (k + 1) % 3);
  }

  /**
   * Takes an edge of the shape in: how far each ray reaches that crosses it.
   *
   * @param points - (n x 2), mm
   * @param a - number of the point where it begins
   * @param b - and where it ends
   */
  addEdge(points: Float64Array, a: number, b: number): void {
    const x = this.#middle[0];
    const y = this.#middle[1];
    this.#extend(points[2 * a]! - x, points[2 * a + 1]! - y, points[2 * b]! - x, points[2 * b + 1]! - y);
  }

  /** Closed polygon, flat [x0, y0, x1, y1, ...], mm to the micrometre; null when the shape does not surround its middle. */
  polygon(): readonly number[] | null {
    if (this.#reach.some((mm) => mm === 0)) return null;
    const polygon: number[] = [];
    for (const [k, mm] of this.#reach.entries()) {
      polygon.push(
        micrometres(this.#middle[0] + mm * Math.cos(k * STEP_RAD)),
        micrometres(this.#middle[1] + mm * Math.sin(k * STEP_RAD)),
      );
    }
    return polygon;
  }

  /** Takes an edge from p to q, relative to the middle, into the reach of every ray that it crosses. */
  #extend(px: number, py: number, qx: number, qy: number): void {
    const from = Math.atan2(py, px);
    const turn = Math.atan2(px * qy - py * qx, px * qx + py * qy);
    const low = Math.min(from, from + turn);
    const high = Math.max(from, from + turn);
    for (let k = Math.ceil(low / STEP_RAD); k <= Math.floor(high / STEP_RAD); k++) {
      const dx = Math.cos(k * STEP_RAD);
      const dy = Math.sin(k * STEP_RAD);
      const ex = qx - px;
      const ey = qy - py;
      const across = dx * ey - dy * ex;
      const mm =
        Math.abs(across) < END_ON
          ? Math.max(Math.hypot(px, py), Math.hypot(qx, qy))
          : (px * ey - py * ex) / across;
      const ray = ((k % RAYS) + RAYS) % RAYS;
      if (mm > this.#reach[ray]!) this.#reach[ray] = mm;
    }
  }
}

/** A drawing needs no more digits, and a file with it stays small. */
export function micrometres(mm: number): number {
  return Math.round(mm * 1000) / 1000;
}
