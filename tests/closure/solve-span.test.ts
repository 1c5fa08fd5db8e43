import { describe, expect, it } from 'vitest';
import { archModel } from '../../src/closure/arch-model.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { solveSpan } from '../../src/closure/solve-span.ts';
import { type ContactSays, makeAnalysis } from './make-analysis.ts';

/**
 * Three teeth on a line, span = the last two. The space between them is held 6 mm to one side, the contact behind
 * the span 6 mm to the other: drawing turns the middle tooth so far that it would run into the tooth behind it
 * (6 x 6 mm of lever against 4 x 4 mm of rotation arm). No mouth is like that; the wall has to hold all the same.
 */
function levered(behind: ContactSays) {
  const teeth = [23, 24, 25];
  return archModel(
    makeAnalysis({
      teeth,
      centres: [
        [-8, 0],
        [0, 0],
        [8, 0],
      ],
      pointsA: [
        [-4.02, 6],
        [3.85, -6],
      ],
      pointsB: [
        [-3.98, 6],
        [4.15, -6],
      ],
      says: [behind, { status: 'open', valueMm: 0.3 }],
    }),
    DEFAULT_CLOSURE_SETTINGS,
  );
}

function solved(behind: ContactSays) {
  const solution = solveSpan(levered(behind), { first: 1, last: 2, sides: 'both' }, DEFAULT_CLOSURE_SETTINGS);
  if (solution.kind !== 'moves') throw new Error(`expected motions, got ${solution.kind}`);
  return solution;
}

describe('the tooth behind the end of a span', () => {
  it('is not run into: its contact stops at zero while the span still closes', () => {
    const { changes, motions } = solved({ status: 'closed', valueMm: 0.04 });
    expect(changes[1]).toBeCloseTo(-0.3, 9);
    expect(changes[0]).toBeCloseTo(-0.04, 9);
    expect(motions[0]).toEqual({ dx: 0, dy: 0, theta: 0 });
  });

  it('a contact without a number counts from zero: it may open, not close', () => {
    expect(solved({ status: 'bridged', valueMm: null }).changes[0]).toBeCloseTo(0, 9);
  });

  it('an overlap behind the span is not deepened', () => {
    expect(solved({ status: 'overlap', valueMm: -0.03 }).changes[0]).toBeGreaterThan(-1e-9);
  });

  it('a site without a tooth has no wall: it narrows', () => {
    const model = levered({ status: 'bridged', valueMm: null });
    const site = {
      ...model,
      contacts: [{ ...model.contacts[0]!, kind: 'site' as const }, model.contacts[1]!],
    };
    const solution = solveSpan(site, { first: 1, last: 2, sides: 'both' }, DEFAULT_CLOSURE_SETTINGS);
    if (solution.kind !== 'moves') throw new Error(`expected motions, got ${solution.kind}`);
    expect(solution.changes[0]).toBeLessThan(-0.05);
  });
});
