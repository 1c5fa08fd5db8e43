import quadprog from 'quadprog';
import { ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { dot2, perp, sub2, type Vec2 } from './plane.ts';
import { CONTRADICTION_MM, DEPENDENT_ROW_SHARE, ROW_RESIDUAL_MM } from './tolerances.ts';

/** A tooth as a rigid body in the occlusal plane. */
export interface ChainBody {
  readonly centre: Vec2;
  /** a_i: resistance to translation, any unit (root surface area, mm2); greater than zero. */
  readonly resistance: number;
  readonly fixed: boolean;
}

/** A place where two bodies are neighbours. Indices into the bodies. */
export interface ChainContact {
  readonly a: number;
  readonly b: number;
  readonly pointA: Vec2;
  readonly pointB: Vec2;
  /** n_k: direction A to B along which the space changes; its length is the share of a motion that counts. */
  readonly direction: Vec2;
  /** g_k: the space before, mm; negative = overlap. */
  readonly gapMm: number;
  /**
   * `draw`: the space has to become `targetMm` (g + dg = target); `keep-apart`: it must not fall below `targetMm`
   * (g + dg >= target); `free`: no row, the space goes where the bodies take it.
   */
  readonly kind: 'draw' | 'keep-apart' | 'free';
  readonly targetMm: number;
}

/** The plane model of a chain of teeth (docs/method.md, "The chain model"). */
export interface ChainProblem {
  readonly bodies: readonly ChainBody[];
  readonly contacts: readonly ChainContact[];
  /** rho: length that weighs rotation against translation, mm. */
  readonly rotationArmMm: number;
}

/** q_i: motion of a body's centre, mm, and its turn from x towards y, rad. */
export interface BodyMotion {
  readonly dx: number;
  readonly dy: number;
  readonly theta: number;
}

export type ChainSolution =
  | {
      readonly solved: true;
      readonly motions: readonly BodyMotion[];
      /**
       * T_k per contact, resistance times mm: positive draws the two bodies together, negative holds them apart.
       * Zero on a row that follows from the others.
       */
      readonly tensions: readonly number[];
      /** g_k + dg_k, mm. */
      readonly gapsAfterMm: readonly number[];
    }
  | {
      readonly solved: false;
      /** The contact whose row no motion satisfies together with those before it; null when only the set is at odds. */
      readonly contradicting: number | null;
    };

/** A row of the programme in scaled unknowns y = sqrt(R) q: row . y = rhs (or >= rhs). */
interface ScaledRow {
  readonly contact: number;
  /** The entries of all rows, one row after the other; this one has unit length, or is all zero between fixed bodies. */
  readonly entries: Float64Array;
  /** Where its own begin. */
  readonly at: number;
  /** Length before it was made a unit row; divides multipliers back. */
  readonly size: number;
  readonly rhs: number;
}

/**
 * The motions of least resistance that close what is to be closed: minimise 1/2 sum q_i' R_i q_i with
 * R_i = a_i diag(1, 1, rho^2), subject to the contacts' rows
 * dg = n . [(dB + thetaB perp(pB - cB)) - (dA + thetaA perp(pA - cA))].
 *
 * When the least motions for the equalities alone keep every inequality, they are the optimum. Otherwise the active
 * set comes from quadprog (Goldfarb and Idnani, Math. Program. 27:1, 1983); the answer is then solved again on the
 * active rows, so that rows hold to rounding and the tensions carry their sign.
 *
 * @throws ArchgapError `CHAIN_NOT_NUMBERS` for values that are not finite, `CHAIN_RESISTANCE`
 */
export function solveChain(problem: ChainProblem): ChainSolution {
  checkProblem(problem);
  const columns = columnOffsets(problem.bodies);
  // Rows of one array: this is solved thousands of times, and arrays of their own would cost more than the rows.
  const entries = new Float64Array(problem.contacts.length * columns.unknowns);
  const rows = problem.contacts.map((contact, k) => scaledRow(problem, columns, contact, k, entries));
  const draws = rows.filter((row) => kindOf(problem, row) === 'draw');
  const guards = rows.filter((row) => kindOf(problem, row) === 'keep-apart');

  const drawn = leastMotion(draws, columns.unknowns);
  if (drawn.contradicting !== null) return { solved: false, contradicting: drawn.contradicting };
  for (const guard of guards) {
    if (guard.size === 0 && guard.rhs > CONTRADICTION_MM) {
      return { solved: false, contradicting: guard.contact };
    }
  }
  const walls = guards.filter((row) => row.size > 0);
  const loose = walls.every((row) => inner(row.entries, row.at, drawn.y, 0, columns.unknowns) >= row.rhs);
  if (loose) return unscale(problem, columns, drawn);
  const active = activeRows(drawn.rows, walls, columns.unknowns);
  if (active === null) return { solved: false, contradicting: null };
  return unscale(problem, columns, leastMotion(active, columns.unknowns));
}

/** dg of one contact for given motions of all bodies, mm; also for contacts that were no rows of the programme. */
export function gapChange(
  contact: ChainContact,
  bodies: readonly ChainBody[],
  motions: readonly BodyMotion[],
): number {
  const { a, b, direction } = contact;
  const onB = travelAlong(direction, bodies[b]!, motions[b]!, contact.pointB);
  return onB - travelAlong(direction, bodies[a]!, motions[a]!, contact.pointA);
}

/** How far a point of a moved body goes along a direction, mm. */
function travelAlong(direction: Vec2, body: ChainBody, { dx, dy, theta }: BodyMotion, point: Vec2): number {
  const lever = perp(sub2(point, body.centre));
  return dot2(direction, [dx + theta * lever[0], dy + theta * lever[1]]);
}

function isFinitePoint(p: Vec2): boolean {
  return Number.isFinite(p[0]) && Number.isFinite(p[1]);
}

function checkProblem(problem: ChainProblem): void {
  const numbers =
    Number.isFinite(problem.rotationArmMm) &&
    problem.bodies.every((body) => isFinitePoint(body.centre) && Number.isFinite(body.resistance)) &&
    problem.contacts.every(
      (c) =>
        isFinitePoint(c.pointA) &&
        isFinitePoint(c.pointB) &&
        isFinitePoint(c.direction) &&
        Number.isFinite(c.gapMm) &&
        Number.isFinite(c.targetMm),
    );
  if (!numbers) {
    throw inputError(
      'CHAIN_NOT_NUMBERS',
      'A centre, contact point or space of the arch is not a finite number; measure again.',
    );
  }
  if (problem.rotationArmMm <= 0 || problem.bodies.some((body) => body.resistance <= 0)) {
    throw inputError('CHAIN_RESISTANCE', 'Resistances and the rotation arm have to be greater than zero.');
  }
}

interface Columns {
  /** First unknown of each body; -1 when it is fixed. */
  readonly first: readonly number[];
  readonly unknowns: number;
}

function columnOffsets(bodies: readonly ChainBody[]): Columns {
  let unknowns = 0;
  const first = bodies.map((body) => {
    if (body.fixed) return -1;
    unknowns += 3;
    return unknowns - 3;
  });
  return { first, unknowns };
}

function kindOf(problem: ChainProblem, row: ScaledRow): ChainContact['kind'] {
  return problem.contacts[row.contact]!.kind;
}

/** @param entries - of all rows, zero where this one is */
function scaledRow(
  problem: ChainProblem,
  columns: Columns,
  contact: ChainContact,
  k: number,
  entries: Float64Array,
): ScaledRow {
  const at = k * columns.unknowns;
  const { a, b, direction, pointA, pointB } = contact;
  putBody(entries, at, columns.first[a]!, problem.bodies[a]!, problem.rotationArmMm, direction, pointA, -1);
  putBody(entries, at, columns.first[b]!, problem.bodies[b]!, problem.rotationArmMm, direction, pointB, 1);
  const size = Math.sqrt(inner(entries, at, entries, at, columns.unknowns));
  const rhs = contact.targetMm - contact.gapMm;
  if (size === 0) return { contact: k, entries, at, size, rhs };
  for (let i = at; i < at + columns.unknowns; i += 1) entries[i] = entries[i]! / size;
  return { contact: k, entries, at, size, rhs: rhs / size };
}

/** Enters what a body's motion does to a space, scaled; nothing for a fixed body, whose first unknown is -1. */
function putBody(
  entries: Float64Array,
  at: number,
  first: number,
  body: ChainBody,
  rotationArmMm: number,
  direction: Vec2,
  point: Vec2,
  sign: number,
): void {
  if (first < 0) return;
  const root = Math.sqrt(body.resistance);
  const turn = dot2(direction, perp(sub2(point, body.centre)));
  entries[at + first] = (sign * direction[0]) / root;
  entries[at + first + 1] = (sign * direction[1]) / root;
  entries[at + first + 2] = (sign * turn) / (root * rotationArmMm);
}

/** Inner product of n entries of each, from a place on. */
function inner(a: Float64Array, atA: number, b: Float64Array, atB: number, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i += 1) sum += a[atA + i]! * b[atB + i]!;
  return sum;
}

/** The shortest y that meets a set of rows as equalities. */
interface LeastMotion {
  /** The rows that say something new, in their order. */
  readonly rows: readonly ScaledRow[];
  readonly y: Float64Array;
  /** lambda with y = sum lambda_i row_i, one per row kept. */
  readonly lambda: Float64Array;
  /** A row that no y meets together with those before it. */
  readonly contradicting: number | null;
}

/**
 * Gram-Schmidt on the rows: row_i = sum_j L_ij b_j with orthonormal b. The values v of y along b follow from L v = rhs,
 * y = sum v_j b_j is the shortest solution, and L' lambda = v gives its multipliers. A row without a new direction is
 * dropped when it agrees with the others.
 */
function leastMotion(rows: readonly ScaledRow[], unknowns: number): LeastMotion {
  const kept: ScaledRow[] = [];
  const values: number[] = [];
  // The basis and the rows of L one after the other, in arrays of their own only once.
  const basis = new Float64Array(rows.length * unknowns);
  const lower = new Float64Array(rows.length * rows.length);
  let contradicting: number | null = null;
  for (const row of rows) {
    const rest = kept.length * unknowns;
    const shares = kept.length * rows.length;
    for (let i = 0; i < unknowns; i += 1) basis[rest + i] = row.entries[row.at + i]!;
    for (let j = 0; j < kept.length; j += 1) lower[shares + j] = 0;
    // Twice is enough for orthogonality to rounding (Parlett, The Symmetric Eigenvalue Problem, section 6.9).
    for (let pass = 0; pass < 2; pass += 1) {
      for (let j = 0; j < kept.length; j += 1) {
        const share = inner(basis, rest, basis, j * unknowns, unknowns);
        if (share === 0) continue;
        lower[shares + j]! += share;
        for (let i = 0; i < unknowns; i += 1) basis[rest + i]! -= share * basis[j * unknowns + i]!;
      }
    }
    const size = Math.sqrt(inner(basis, rest, basis, rest, unknowns));
    let value = row.rhs;
    for (let j = 0; j < values.length; j += 1) value -= lower[shares + j]! * values[j]!;
    if (size <= DEPENDENT_ROW_SHARE) {
      if (Math.abs(value) * (row.size > 0 ? row.size : 1) <= CONTRADICTION_MM) continue;
      contradicting = row.contact;
      break;
    }
    lower[shares + kept.length] = size;
    for (let i = 0; i < unknowns; i += 1) basis[rest + i]! /= size;
    values.push(value / size);
    kept.push(row);
  }
  const y = new Float64Array(unknowns);
  for (let j = 0; j < kept.length; j += 1) {
    for (let i = 0; i < unknowns; i += 1) y[i]! += values[j]! * basis[j * unknowns + i]!;
  }
  const lambda = Float64Array.from(values);
  for (let j = kept.length - 1; j >= 0; j -= 1) {
    for (let i = j + 1; i < kept.length; i += 1) lambda[j]! -= lower[i * rows.length + j]! * lambda[i]!;
    lambda[j]! /= lower[j * rows.length + j]!;
  }
  return { rows: kept, y, lambda, contradicting };
}

/** Equality rows and those guards that bind at the optimum; null when no motion keeps them all. */
function activeRows(
  equalities: readonly ScaledRow[],
  guards: readonly ScaledRow[],
  unknowns: number,
): ScaledRow[] | null {
  const rows = [...equalities, ...guards];
  const dMatrix: number[][] = [[]];
  const aMatrix: number[][] = [[]];
  for (let i = 0; i < unknowns; i += 1) {
    const unitRow = new Array<number>(unknowns + 1).fill(0);
    unitRow[i + 1] = 1;
    dMatrix.push(unitRow);
    aMatrix.push([0, ...rows.map((row) => row.entries[row.at + i]!)]);
  }
  const dVector = new Array<number>(unknowns + 1).fill(0);
  const bVector = [0, ...rows.map((row) => row.rhs)];
  const answer = quadprog.solveQP(dMatrix, dVector, aMatrix, bVector, equalities.length);
  if (answer.message !== '') return null;
  const binding = new Set(answer.iact.filter((index) => index > equalities.length));
  return rows.filter((_, index) => index < equalities.length || binding.has(index + 1));
}

/** Back to motions and tensions. */
function unscale(problem: ChainProblem, columns: Columns, least: LeastMotion): ChainSolution {
  const { y, lambda } = least;
  const tensions = problem.contacts.map(() => 0);
  least.rows.forEach((row, index) => {
    tensions[row.contact] = lambda[index] === 0 ? 0 : -lambda[index]! / row.size;
  });
  const motions = problem.bodies.map((body, index): BodyMotion => {
    const first = columns.first[index]!;
    if (first < 0) return { dx: 0, dy: 0, theta: 0 };
    const root = Math.sqrt(body.resistance);
    return {
      dx: y[first]! / root,
      dy: y[first + 1]! / root,
      theta: y[first + 2]! / (root * problem.rotationArmMm),
    };
  });
  const gapsAfterMm = problem.contacts.map(
    (contact) => contact.gapMm + gapChange(contact, problem.bodies, motions),
  );
  const largest = motions.reduce((most, m) => Math.max(most, Math.abs(m.dx), Math.abs(m.dy)), 1);
  problem.contacts.forEach((contact, k) => {
    if (contact.kind === 'free') return;
    const miss = (gapsAfterMm[k]! - contact.targetMm) / largest;
    if (contact.kind === 'draw' ? Math.abs(miss) > ROW_RESIDUAL_MM : miss < -ROW_RESIDUAL_MM) {
      throw new ArchgapError(
        'internal',
        'CHAIN_NOT_SOLVED',
        `The row of contact ${k} is missed by ${miss} of the largest motion.`,
      );
    }
  });
  return { solved: true, motions, tensions, gapsAfterMm };
}
