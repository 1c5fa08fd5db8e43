import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type ChainBody,
  type ChainContact,
  type ChainProblem,
  type ChainSolution,
  gapChange,
  solveChain,
} from '../../src/closure/chain-model.ts';
import { bruteForceChain } from './chain-oracle.ts';
import { chainOf, textbookArch } from './textbook-arch.ts';

/** Teeth of 8 mm on a straight line, x to the right; contact points on the line. */
function line(
  resistances: readonly number[],
  gaps: readonly number[],
  options: { fixed?: readonly number[]; inside?: (k: number) => boolean } = {},
): ChainProblem {
  let x = 0;
  const bodies: ChainBody[] = resistances.map((resistance, i) => {
    const centre = [x, 0] as const;
    x += 8 + (gaps[i] ?? 0);
    return { centre, resistance, fixed: options.fixed?.includes(i) ?? false };
  });
  const contacts = gaps.map(
    (gapMm, k): ChainContact => ({
      a: k,
      b: k + 1,
      pointA: [bodies[k]!.centre[0] + 4, 0],
      pointB: [bodies[k + 1]!.centre[0] - 4, 0],
      direction: [1, 0],
      gapMm,
      kind: (options.inside?.(k) ?? true) ? 'draw' : 'keep-apart',
      targetMm: 0,
    }),
  );
  return { bodies, contacts, rotationArmMm: 4 };
}

function solved(problem: ChainProblem): Extract<ChainSolution, { solved: true }> {
  const solution = solveChain(problem);
  if (!solution.solved) throw new Error('expected a solution');
  return solution;
}

describe('worked numbers of docs/method.md, to 0.001', () => {
  it('P1: two teeth share a space by their resistances', () => {
    const s = solved(line([200, 400], [0.3]));
    expect(s.motions.map((m) => m.dx)).toEqual([expect.closeTo(0.2, 9), expect.closeTo(-0.1, 9)]);
    expect(s.tensions[0]).toBeCloseTo(40, 9);
    expect(s.gapsAfterMm[0]).toBeCloseTo(0, 9);
  });

  it('P2: three equal teeth', () => {
    const s = solved(line([1, 1, 1], [0.2, 0.4]));
    expect(s.motions[0]!.dx).toBeCloseTo(0.26667, 4);
    expect(s.motions[1]!.dx).toBeCloseTo(0.06667, 4);
    expect(s.motions[2]!.dx).toBeCloseTo(-0.33333, 4);
    expect(s.tensions[0]).toBeCloseTo(0.26667, 4);
    expect(s.tensions[1]).toBeCloseTo(0.33333, 4);
  });

  it('P3: a span that ends before a tooth draws away from it', () => {
    const problem = line([433, 433, 220, 234], [0, 0.3, 0], { fixed: [0], inside: (k) => k > 0 });
    const s = solved(problem);
    expect(s.motions[0]!.dx).toBe(0);
    expect(s.motions[1]!.dx).toBeCloseTo(0.1536, 4);
    expect(s.motions[2]!.dx).toBeCloseTo(-0.1464, 4);
    expect(s.motions[3]!.dx).toBeCloseTo(-0.1464, 4);
    expect(s.gapsAfterMm[0]).toBeCloseTo(0.1536, 4);
    expect(s.tensions[1]).toBeCloseTo(66.49, 2);
    expect(s.tensions[2]).toBeCloseTo(34.27, 2);
  });

  it('P4: P2 with the middle tooth fixed', () => {
    const s = solved(line([1, 1, 1], [0.2, 0.4], { fixed: [1] }));
    expect(s.motions[0]!.dx).toBeCloseTo(0.2, 9);
    expect(s.motions[1]!.dx).toBe(0);
    expect(s.motions[2]!.dx).toBeCloseTo(-0.4, 9);
  });

  it.each([
    [0.5, 0.617],
    [1, 0.616],
    [2, 0.614],
  ])('P5: %s mm closed over the textbook arch take the incisors back by %s per mm', (total, expected) => {
    const arch = textbookArch(new Array<number>(13).fill(total / 13));
    const { bodies, contacts } = chainOf(arch, [17, 27]);
    const s = solved({ bodies, contacts, rotationArmMm: 4 });
    expect(Math.abs(-s.motions[6]!.dy / total - expected)).toBeLessThan(0.001);
    expect(s.motions[7]!.dy).toBeCloseTo(s.motions[6]!.dy, 6);
  });
});

describe('what the rows mean', () => {
  it('changes of space agree with rigid motions of the contact points to second order', () => {
    const arch = textbookArch(new Array<number>(13).fill(0.2));
    const { bodies, contacts } = chainOf(arch);
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 42, maxLength: 42 }),
        (u) => {
          const eps = 1e-4;
          const motions = bodies.map((_, i) => ({
            dx: u[3 * i]! * eps,
            dy: u[3 * i + 1]! * eps,
            theta: (u[3 * i + 2]! * eps) / 4,
          }));
          const moved = (i: number, p: readonly [number, number]): [number, number] => {
            const m = motions[i]!;
            const [cx, cy] = bodies[i]!.centre;
            const [rx, ry] = [p[0] - cx, p[1] - cy];
            const [c, s] = [Math.cos(m.theta), Math.sin(m.theta)];
            return [cx + c * rx - s * ry + m.dx, cy + s * rx + c * ry + m.dy];
          };
          contacts.forEach((contact) => {
            const a = moved(contact.a, contact.pointA);
            const b = moved(contact.b, contact.pointB);
            const exact = Math.hypot(b[0] - a[0], b[1] - a[1]) - contact.gapMm;
            // The chord of two arc points differs from the laid-out space by less than a micrometre.
            const chord = Math.hypot(
              contact.pointB[0] - contact.pointA[0],
              contact.pointB[1] - contact.pointA[1],
            );
            const linear = chord - contact.gapMm + gapChange(contact, bodies, motions);
            expect(Math.abs(exact - linear)).toBeLessThan(1e-6);
          });
        },
      ),
      { seed: 11, numRuns: 40 },
    );
  });

  it('two teeth on a line at any resistance: motions are inverse to resistance, tension is the same on both', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 50, max: 600, noNaN: true }),
        fc.double({ min: 50, max: 600, noNaN: true }),
        fc.double({ min: 0.01, max: 2, noNaN: true }),
        (ra, rb, g) => {
          const s = solved(line([ra, rb], [g]));
          expect(s.motions[0]!.dx).toBeCloseTo((g * rb) / (ra + rb), 9);
          expect(s.motions[1]!.dx).toBeCloseTo((-g * ra) / (ra + rb), 9);
          expect(s.tensions[0]! / ra).toBeCloseTo(s.motions[0]!.dx, 9);
        },
      ),
      { seed: 12, numRuns: 60 },
    );
  });
});

/** A random bent chain with points off the line between centres, 2 to 5 teeth. */
const randomChain = fc
  .record({
    size: fc.integer({ min: 2, max: 5 }),
    bends: fc.array(fc.double({ min: -0.5, max: 0.5, noNaN: true }), { minLength: 5, maxLength: 5 }),
    lateral: fc.array(fc.double({ min: -1.5, max: 1.5, noNaN: true }), { minLength: 10, maxLength: 10 }),
    turns: fc.array(fc.double({ min: -0.4, max: 0.4, noNaN: true }), { minLength: 5, maxLength: 5 }),
    gaps: fc.array(fc.double({ min: 0, max: 0.8, noNaN: true }), { minLength: 5, maxLength: 5 }),
    resistances: fc.array(fc.double({ min: 100, max: 500, noNaN: true }), { minLength: 6, maxLength: 6 }),
    kinds: fc.array(fc.constantFrom('draw' as const, 'draw' as const, 'keep-apart' as const), {
      minLength: 5,
      maxLength: 5,
    }),
    floors: fc.array(fc.double({ min: 0, max: 0.5, noNaN: true }), { minLength: 5, maxLength: 5 }),
    fixedAt: fc.option(fc.integer({ min: 0, max: 5 }), { nil: null }),
  })
  .map((r): ChainProblem => {
    let heading = 0;
    let at: [number, number] = [0, 0];
    const bodies: ChainBody[] = [];
    for (let i = 0; i < r.size; i += 1) {
      bodies.push({ centre: at, resistance: r.resistances[i]!, fixed: r.fixedAt === i });
      heading += r.bends[i] ?? 0;
      at = [at[0] + 8 * Math.cos(heading), at[1] + 8 * Math.sin(heading)];
    }
    const contacts = bodies.slice(1).map((b, k): ChainContact => {
      const a = bodies[k]!;
      const angle = Math.atan2(b.centre[1] - a.centre[1], b.centre[0] - a.centre[0]) + r.turns[k]!;
      const middle = [(a.centre[0] + b.centre[0]) / 2, (a.centre[1] + b.centre[1]) / 2] as const;
      const kind = r.kinds[k]!;
      return {
        a: k,
        b: k + 1,
        pointA: [middle[0], middle[1] + r.lateral[2 * k]!],
        pointB: [middle[0], middle[1] + r.lateral[2 * k + 1]!],
        direction: [Math.cos(angle), Math.sin(angle)],
        gapMm: r.gaps[k]!,
        kind,
        // A floor above the present space forces the row to bind.
        targetMm: kind === 'draw' ? 0 : r.floors[k]!,
      };
    });
    return { bodies, contacts, rotationArmMm: 4 };
  });

describe('against an independent solver', () => {
  it('agrees with the full KKT system tried over every active set', () => {
    let bound = 0;
    let loose = 0;
    fc.assert(
      fc.property(randomChain, (problem) => {
        const oracle = bruteForceChain(problem);
        const mine = solveChain(problem);
        expect(oracle).not.toBeNull();
        if (oracle === null || !mine.solved) throw new Error('both have to be solved');
        mine.motions.forEach((m, i) => {
          expect(m.dx).toBeCloseTo(oracle.motions[i]!.dx, 7);
          expect(m.dy).toBeCloseTo(oracle.motions[i]!.dy, 7);
          expect(m.theta).toBeCloseTo(oracle.motions[i]!.theta, 7);
        });
        problem.contacts.forEach((contact, k) => {
          if (contact.kind !== 'keep-apart') return;
          const slack = mine.gapsAfterMm[k]! - contact.targetMm;
          expect(slack).toBeGreaterThan(-1e-9);
          // A wall can only push: the tension of a guard is never positive, and zero where there is room.
          expect(mine.tensions[k]!).toBeLessThanOrEqual(1e-9);
          if (slack > 1e-7) {
            expect(mine.tensions[k]).toBe(0);
            loose += 1;
          } else bound += 1;
        });
      }),
      { seed: 21, numRuns: 500 },
    );
    // The property is worth something only if both kinds of row were met.
    expect(bound).toBeGreaterThan(50);
    expect(loose).toBeGreaterThan(40);
  });

  it('every tooth moves by its net pull over its resistance', () => {
    fc.assert(
      fc.property(randomChain, (problem) => {
        const s = solved(problem);
        problem.bodies.forEach((body, i) => {
          if (body.fixed) return;
          const pull = [0, 0, 0];
          problem.contacts.forEach((c, k) => {
            const sign = c.a === i ? 1 : c.b === i ? -1 : 0;
            const point = c.a === i ? c.pointA : c.pointB;
            const [rx, ry] = [point[0] - body.centre[0], point[1] - body.centre[1]];
            const t = s.tensions[k]! * sign;
            pull[0]! += t * c.direction[0];
            pull[1]! += t * c.direction[1];
            pull[2]! += t * (rx * c.direction[1] - ry * c.direction[0]);
          });
          expect(s.motions[i]!.dx * body.resistance).toBeCloseTo(pull[0]!, 6);
          expect(s.motions[i]!.dy * body.resistance).toBeCloseTo(pull[1]!, 6);
          expect(s.motions[i]!.theta * body.resistance * 16).toBeCloseTo(pull[2]!, 6);
        });
      }),
      { seed: 22, numRuns: 200 },
    );
  });

  it('no feasible neighbour of the answer costs less', () => {
    const problem = line([433, 433, 220, 234], [0.1, 0.3, 0], { inside: (k) => k > 0 });
    const s = solved(problem);
    const cost = (motions: readonly { dx: number; dy: number; theta: number }[]): number =>
      motions.reduce(
        (sum, m, i) =>
          sum + (problem.bodies[i]!.resistance * (m.dx ** 2 + m.dy ** 2 + 16 * m.theta ** 2)) / 2,
        0,
      );
    // Moving the whole drawn part along keeps every row.
    for (const step of [-0.01, 0.01]) {
      const moved = s.motions.map((m, i) => (i > 0 ? { ...m, dx: m.dx + step } : m));
      expect(cost(moved)).toBeGreaterThan(cost(s.motions));
    }
  });
});

describe('held teeth', () => {
  it('an open space between two fixed teeth is a contradiction that is named', () => {
    const answer = solveChain(line([1, 1, 1], [0.2, 0.4], { fixed: [1, 2] }));
    expect(answer).toEqual({ solved: false, contradicting: 1 });
  });

  it('a closed contact between two fixed teeth is no contradiction', () => {
    const s = solved(line([1, 1, 1], [0.2, 0], { fixed: [1, 2] }));
    expect(s.motions[0]!.dx).toBeCloseTo(0.2, 9);
    expect(s.tensions[1]).toBe(0);
  });

  it('rows on a straight line between two fixed teeth contradict each other when spaces are left over', () => {
    const answer = solveChain(line([1, 1, 1], [0.2, 0.4], { fixed: [0, 2] }));
    expect(answer).toEqual({ solved: false, contradicting: 1 });
  });

  it('a dependent row that agrees is dropped without a trace', () => {
    const problem = line([1, 1, 1], [0.2, 0.4], { fixed: [0, 2] });
    // The middle tooth can close the left space only by opening the right one to 0.6.
    const agreeing: ChainProblem = {
      ...problem,
      contacts: [problem.contacts[0]!, { ...problem.contacts[1]!, targetMm: 0.6 }],
    };
    const s = solved(agreeing);
    expect(s.motions[1]!.dx).toBeCloseTo(-0.2, 9);
    expect(s.gapsAfterMm[1]).toBeCloseTo(0.6, 9);
  });

  it('a wall that has to give way to a held tooth is a contradiction', () => {
    const problem = line([1, 1, 1], [0.3, 0.1], { fixed: [0, 2], inside: (k) => k === 0 });
    const wall: ChainProblem = {
      ...problem,
      // Closing the left space takes the middle tooth away from the right one; ask for it to stay near instead.
      contacts: [problem.contacts[0]!, { ...problem.contacts[1]!, direction: [-1, 0] }],
    };
    expect(solveChain(wall)).toEqual({ solved: false, contradicting: null });
  });
});

it('refuses numbers that are none', () => {
  const problem = line([1, 1], [0.3]);
  expect(() => solveChain({ ...problem, rotationArmMm: Number.NaN })).toThrowError(/finite/);
  expect(() => solveChain({ ...problem, rotationArmMm: 0 })).toThrowError(/greater than zero/);
});
