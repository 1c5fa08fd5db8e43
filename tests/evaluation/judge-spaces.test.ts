import { describe, expect, it } from 'vitest';
import { box, icosphere } from '../../fixtures/shapes.ts';
import type { Contact } from '../../src/contacts/types.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { makeContact } from '../helpers/make-analysis.ts';
import { judgeContacts, spacesFigures } from './judge-spaces.ts';
import { spaceChanges, spaceEffect } from './space-change.ts';
import { verdictOf } from './spaces-report.ts';
import { clearanceOfCrowns } from './true-clearance.ts';
import { readTrueSpaces, type TrueSpace } from './true-spaces.ts';

const open = (a: number, b: number, gapMm: number, u95Mm = 0.03): Contact =>
  makeContact(a, b, { status: 'open', gapMm, u95Mm });
const bridged = (a: number, b: number, upperBoundMm: number): Contact =>
  makeContact(a, b, { status: 'bridged', upperBoundMm });
const truth = (toothA: number, toothB: number, gapMm: number, state: TrueSpace['state']): TrueSpace => ({
  toothA,
  toothB,
  gapMm,
  state,
});

function figuresOf(contacts: readonly Contact[], spaces: readonly TrueSpace[]) {
  const judged = judgeContacts('hand-made', contacts, spaces, () => null);
  return { judged, figures: spacesFigures(judged) };
}

describe('spacesFigures', () => {
  it('gives bias, rms, worst and coverage of the numbers', () => {
    const { figures } = figuresOf(
      [open(13, 12, 0.31), open(12, 11, 0.48), open(11, 21, 0.25), bridged(21, 22, 0.3)],
      [
        truth(13, 12, 0.3, 'open'),
        truth(12, 11, 0.5, 'open'),
        truth(21, 11, 0.21, 'partly bridged'),
        truth(21, 22, 0.001, 'closed'),
      ],
    );
    expect(figures).toMatchObject({ free: 3, measured: 3, hidden: 1, hiddenBridged: 1, openBridged: 0 });
    expect(figures.biasMm).toBeCloseTo((0.01 - 0.02 + 0.04) / 3, 12);
    expect(figures.rmsMm).toBeCloseTo(Math.sqrt((1e-4 + 4e-4 + 16e-4) / 3), 12);
    expect(figures.worstMm).toBeCloseTo(0.04, 12);
    expect(figures.covered).toBeCloseTo(2 / 3, 12);
    expect(figures).toMatchObject({
      bounds: 1,
      boundsHeld: 1,
      wrong: [],
      clearances: 0,
      clearanceRmsMm: null,
    });
  });

  it('finds each kind of fault', () => {
    const { figures, judged } = figuresOf(
      [open(13, 12, 0.16), open(12, 11, 0.06), bridged(11, 21, 0.5), open(21, 22, 0.3)],
      [
        truth(13, 12, 0.09, 'open'),
        truth(12, 11, 0.15, 'open'),
        truth(11, 21, 0.6, 'open'),
        truth(21, 22, 0.002, 'closed'),
      ],
    );
    expect(figures).toMatchObject({ openBridged: 1, bounds: 1, boundsHeld: 0, hidden: 1, hiddenBridged: 0 });
    expect(
      figures.wrong.map(({ judged: one, limitMm, said }) => [one.contact.toothA, limitMm, said]),
    ).toEqual([
      [13, 0.1, 'open'],
      [12, 0.1, 'closed'],
      [21, 0.05, 'open'],
      [21, 0.1, 'open'],
      [21, 0.2, 'open'],
    ]);
    // 0.06 +- 0.03 spans the limit of 0.05.
    expect(figures.undecided).toEqual([1, 0, 0]);
    expect(judged.map(verdictOf)).toEqual([
      'outside U; open at 0.1',
      'outside U; closed at 0.1',
      'bound too low; open, no number',
      'outside U; hidden, not bridged; open at 0.05; open at 0.1; open at 0.2',
    ]);
  });

  it('leaves out sites of missing teeth and pairs nobody knows', () => {
    const missing = makeContact(15, 13, { status: 'missing-tooth' });
    const { judged, figures } = figuresOf([missing, open(13, 12, 0.3)], [truth(15, 13, 7, 'open')]);
    expect(judged).toEqual([]);
    expect(figures).toMatchObject({ free: 0, biasMm: null, covered: null, medianUMm: null });
  });
});

describe('spaceEffect', () => {
  it('compares numbers and names what turned', () => {
    const noNumber = makeContact(22, 23, { status: 'not-measurable', upperBoundMm: 0.4 });
    const effect = spaceEffect(
      spaceChanges(
        [open(13, 12, 0.3), open(12, 11, 0.5), open(11, 21, 0.4), bridged(21, 22, 0.3), open(22, 23, 0.3)],
        [open(13, 12, 0.305), open(12, 11, 0.48), bridged(11, 21, 0.4), open(21, 22, 0.2), noNumber],
      ),
    );
    expect(effect.compared).toBe(2);
    expect(effect.medianMm).toBeCloseTo(0.0125, 12);
    expect(effect.worstMm).toBeCloseTo(0.02, 12);
    expect(effect.turned.map(({ toothA }) => toothA)).toEqual([11, 21]);
    expect(effect.lostOrWon.map(({ toothA }) => toothA)).toEqual([22]);
  });

  it('holds the labels against the known truth where there is one, whatever true labels show', () => {
    const noNumber = (a: number, b: number) => makeContact(a, b, { status: 'not-measurable' });
    const effect = spaceEffect(
      spaceChanges(
        // With true labels 13-12 gets no number, and 21-22 is taken for a web.
        [noNumber(13, 12), bridged(12, 11, 0.4), noNumber(11, 21), bridged(21, 22, 0.3), open(22, 23, 0.2)],
        [
          bridged(13, 12, 0.7),
          open(12, 11, 0.3),
          open(11, 21, 0.3),
          bridged(21, 22, 0.3),
          bridged(22, 23, 0.3),
        ],
        [
          truth(13, 12, 0.6, 'open'),
          truth(12, 11, 0.05, 'bridged'),
          truth(11, 21, 0.3, 'open'),
          truth(21, 22, 0.3, 'open'),
          truth(22, 23, 0.2, 'partly bridged'),
        ],
      ),
    );
    expect(effect.turned.map(({ toothA }) => toothA)).toEqual([13, 12, 21]);
    // A number won and, beside a partial web, one lost.
    expect(effect.lostOrWon.map(({ toothA }) => toothA)).toEqual([11, 22]);
  });

  it('sees a contact that only one side has', () => {
    const { lostOrWon, compared } = spaceEffect(spaceChanges([open(13, 12, 0.3)], [open(12, 11, 0.3)]));
    expect(compared).toBe(0);
    expect(lostOrWon.map(({ withTrueLabels, withOwnLabels }) => [withTrueLabels, withOwnLabels])).toEqual([
      ['measured', 'no number'],
      ['no number', 'measured'],
    ]);
  });
});

describe('readTrueSpaces', () => {
  it('reads what the data folder writes', () => {
    const text = JSON.stringify({
      pairs: [{ a: 11, b: 21, true_gap_mm: 0.1, state: 'partly bridged', web: 1 }],
    });
    expect(readTrueSpaces(text)).toEqual([truth(11, 21, 0.1, 'partly bridged')]);
    expect(() => readTrueSpaces('{"pairs":[{"a":11}]}')).toThrowError(/truth.json is wrong at pairs/);
  });
});

describe('clearanceOfCrowns', () => {
  const moved = (mesh: TriangleMesh, by: Vec3): TriangleMesh => ({
    positions: mesh.positions.map((x, i) => x + by[i % 3]!),
    triangles: mesh.triangles,
  });

  it('is the run of facing boxes, also beside each other', () => {
    const cube = box({ size: [2, 2, 2] });
    expect(clearanceOfCrowns(cube, moved(cube, [2.4, 0.5, 0.5]), [1, 0, 0])).toBeCloseTo(0.4, 6);
    expect(clearanceOfCrowns(cube, moved(cube, [2.4, 2.5, 0]), [1, 0, 0])).toBeNull();
  });

  it('of spheres passing off centre: closed form', () => {
    // Centres (0, 0, 0) and (d, h, 0), radii r: they touch when the distance along x is sqrt(4 r^2 - h^2).
    const r = 4;
    const [d, h] = [8.3, 1.2];
    const sphere = icosphere({ radius: r, edgeMm: 0.25 });
    const found = clearanceOfCrowns(sphere, moved(sphere, [d, h, 0]), [1, 0, 0])!;
    expect(Math.abs(found - (d - Math.sqrt(4 * r * r - h * h)))).toBeLessThan(0.02);
  });
});
