import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { roomForMotions, roomReasons } from '../../src/closure/room.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { SpanOutcome } from '../../src/closure/types.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { boxMesh } from '../helpers/closed-meshes.ts';
import { BALL_RADIUS_MM, twoBalls } from './two-balls.ts';

const { analysis, mesh, labels } = twoBalls();
const outcome: SpanOutcome = planClosure(analysis, DEFAULT_CLOSURE_SETTINGS).spans[0]!;

/** The opposing arch: a wall across x that the upper half of tooth 11 would run into. */
const wallAt = (x: number, originMm: Vec3 = [0, 0, 0]) => ({
  ...boxMesh([x - originMm[0], -5, 1 - originMm[2]], [x + 1 - originMm[0], 5, 4 - originMm[2]]),
  originMm,
});

/** Front of ball 11 at height z = 1: a vertex may lie short of it by the sagitta of an edge (0.25 mm edges: 3 um). */
const FACETS_MM = 0.02;
const frontAt1 = -3.2 + Math.sqrt(BALL_RADIUS_MM ** 2 - 1);

describe('room against the opposing arch', () => {
  it('free path from the crown along its motion, less the motion', async () => {
    const rooms = await roomForMotions({ mesh, labels, analysis, outcome, opposing: wallAt(0.3) });
    expect(rooms.map((r) => r.tooth)).toEqual([11, 21]);
    const [eleven, twentyOne] = rooms;
    expect(eleven!.motionMm).toBeCloseTo(0.2, 6);
    expect(Math.abs(eleven!.freePathMm! - (0.3 - frontAt1))).toBeLessThan(FACETS_MM);
    expect(eleven!.roomMm).toBeCloseTo(eleven!.freePathMm! - eleven!.motionMm, 12);
    expect(eleven!.roomMm).toBeGreaterThan(0);
    // 21 stands around the wall already and moves the other way: its rays meet the far side from within the crown.
    expect(twentyOne!.motionMm).toBeCloseTo(0.2, 6);
    expect(roomReasons([eleven!], DEFAULT_CLOSURE_SETTINGS)).toEqual([]);
  });

  it('a motion longer than the free path has no room, and says so', async () => {
    const [eleven] = await roomForMotions({
      mesh,
      labels,
      analysis,
      outcome,
      opposing: wallAt(frontAt1 + 0.05),
    });
    expect(eleven!.roomMm).toBeLessThan(0);
    expect(Math.abs(eleven!.roomMm! + 0.15)).toBeLessThan(FACETS_MM);
    const [reason] = roomReasons([eleven!], { ...DEFAULT_CLOSURE_SETTINGS, numbering: 'palmer' });
    expect(reason!.code).toBe('NO_ROOM');
    expect(reason!.sentence).toMatch(
      /^Tooth UR1 is to move 0\.20 mm but meets the opposing arch after 0\.0\d mm\.$/,
    );
  });

  it('nothing within reach: no number', async () => {
    const rooms = await roomForMotions({ mesh, labels, analysis, outcome, opposing: wallAt(40) });
    expect(rooms[0]).toMatchObject({ freePathMm: null, roomMm: null });
    expect(roomReasons(rooms, DEFAULT_CLOSURE_SETTINGS)).toEqual([]);
  });

  it('two scans with different origins are brought together', async () => {
    const here = await roomForMotions({ mesh, labels, analysis, outcome, opposing: wallAt(0.3) });
    const there = await roomForMotions({
      mesh,
      labels,
      analysis,
      outcome,
      opposing: wallAt(0.3, [100, 0, -40]),
    });
    expect(there[0]!.freePathMm!).toBeCloseTo(here[0]!.freePathMm!, 4);
  });

  it('a span that moves nothing needs no room', async () => {
    const still = { ...outcome, teeth: outcome.teeth.map((t) => ({ ...t, dxMm: 0, dyMm: 0 })) };
    expect(await roomForMotions({ mesh, labels, analysis, outcome: still, opposing: wallAt(0.3) })).toEqual(
      [],
    );
  });
});
