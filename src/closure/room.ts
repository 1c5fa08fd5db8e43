import type { Analysis } from '../contacts/types.ts';
import { castRay } from '../geometry/cast-ray.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import { type IndexedSurface, indexSurface } from '../geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { add, length, normalize, scale, sub, vertexAt } from '../geometry/vec3.ts';
import type { Scan } from '../scan/types.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import { type Bite, judgeBite } from './judge-bite.ts';
import {
  BITE_DEPTH_MM,
  BITE_TOUCH_MM,
  NUMERIC_ZERO_MM,
  OPPOSING_FAR_MM,
  ROOM_SEARCH_MM,
} from './tolerances.ts';
import type { ClosureSettings, PlanRoom, Reason, SpanOutcome, ToothRoom } from './types.ts';
import { mm, toothWords } from './wording.ts';

export interface RoomInput {
  /** The scan that was planned, with ISO 3950 number per triangle. */
  readonly mesh: TriangleMesh;
  readonly labels: ToothMap;
  readonly analysis: Analysis;
  readonly outcome: SpanOutcome;
  /** The opposing arch in the same file coordinates (bite). */
  readonly opposing: Pick<Scan, 'positions' | 'triangles' | 'originMm'>;
}

/**
 * Room against the opposing arch: from every vertex of every crown that moves, a ray along the motion of its centre to
 * the opposing surface. Rays from vertices only: an edge of the opposing arch that meets the crown between its vertices
 * is missed, by less than an edge length. A turn of the crown is not looked at.
 *
 * @param surface - the opposing arch, indexed
 * @throws ArchgapError `CANCELLED`
 */
export async function roomForMotions(
  input: RoomInput,
  control: JobControl = UNATTENDED,
  surface: IndexedSurface = indexSurface(input.opposing),
): Promise<ToothRoom[]> {
  const { mesh, labels, analysis, outcome, opposing } = input;
  const shift = sub(analysis.originMm, opposing.originMm);
  const { x, y } = analysis.frame;
  const moving = outcome.teeth.filter((tooth) => Math.hypot(tooth.dxMm, tooth.dyMm) > NUMERIC_ZERO_MM);
  const rooms: ToothRoom[] = [];
  for (const tooth of moving) {
    await control.checkpoint(rooms.length / moving.length, 'looking for room against the opposing arch');
    const motion = add(scale(x, tooth.dxMm), scale(y, tooth.dyMm));
    const motionMm = length(motion);
    const freePathMm = shortestPath(
      surface,
      crownPoints(mesh, labels, tooth.tooth),
      shift,
      normalize(motion),
    );
    const roomMm = freePathMm === null ? null : freePathMm - motionMm;
    rooms.push({ tooth: tooth.tooth, motionMm, freePathMm, roomMm });
  }
  return rooms;
}

/** What the planner reads of an opposing scan. */
export type OpposingScan = Pick<Scan, 'positions' | 'triangles' | 'originMm'> & {
  readonly fileName: string;
};

/**
 * Room of a span in words. Both scans are taken to lie in one frame, as exported with the bite: that cannot be told
 * from the files, only refuted - an opposing scan that lies far off, faces the same way, runs deep into this arch or
 * hardly comes near it is told and not used.
 *
 * @throws ArchgapError `CANCELLED`
 */
export async function planRoom(
  input: RoomInput & { readonly opposing: OpposingScan },
  settings: ClosureSettings,
  control: JobControl = UNATTENDED,
): Promise<PlanRoom> {
  const { outcome, opposing, mesh, analysis } = input;
  const names = { from: outcome.from, to: outcome.to, opposing: opposing.fileName };
  const apart = boxDistance(boxOf(mesh, analysis.originMm), boxOf(opposing, opposing.originMm));
  if (apart > OPPOSING_FAR_MM) {
    const reason: Reason = {
      code: 'OPPOSING_FAR',
      sentence: `The opposing scan lies ${mm(apart)} mm off this arch, so the two were not exported in one frame; no room is told.`,
    };
    return { ...names, teeth: [], reasons: [reason] };
  }
  const surface = indexSurface(opposing);
  const bite = await judgeBite(
    {
      mesh,
      labels: input.labels,
      analysis,
      opposing: { mesh: opposing, surface },
      shiftMm: sub(analysis.originMm, opposing.originMm),
    },
    subJob(control, 0, 0.5),
  );
  const refusal = biteRefusal(bite);
  if (refusal !== null) return { ...names, teeth: [], reasons: [refusal] };
  const teeth = await roomForMotions(input, subJob(control, 0.5, 1), surface);
  return { ...names, teeth, reasons: [...roomReasons(teeth, settings), roomSummary(teeth, bite, settings)] };
}

/** Why no room can be told; null where nothing speaks against the bite. */
function biteRefusal({ verdict, crowns, meeting, deep, deepestMm, nearestMm }: Bite): Reason | null {
  const again = 'Export both arches in one frame, with the bite, and give the opposing scan again.';
  switch (verdict) {
    case 'faces-alike':
      return {
        code: 'OPPOSING_FACES_ALIKE',
        sentence: `The opposing arch faces the same way as this one, or its triangles face inwards, so the two cannot be taken to lie in one frame as they bite; no room is told. ${again}`,
      };
    case 'crosses':
      return {
        code: 'OPPOSING_CROSSES',
        sentence: `${deep} of ${crowns} crowns lie more than ${mm(BITE_DEPTH_MM)} mm inside the opposing arch, the deepest ${mm(deepestMm)} mm; teeth that bite touch, so the two are not in one frame, or the bite was registered wrongly; no room is told. ${again}`,
      };
    case 'apart':
      return {
        code: 'OPPOSING_APART',
        sentence: `${meeting === 0 ? 'No crown comes' : `Only ${meeting} of ${crowns} crowns comes`} within ${mm(BITE_TOUCH_MM)} mm of the opposing arch${nearestMm === null ? '' : ` (the nearest ${mm(nearestMm)} mm)`}; teeth that bite touch, so the two are not in one frame, or the bite was taken open; what room there is cannot be judged. ${again}`,
      };
    case 'meets':
      return null;
  }
}

function roomSummary(rooms: readonly ToothRoom[], bite: Bite, settings: ClosureSettings): Reason {
  const words = toothWords(settings);
  let least: ToothRoom | null = null;
  for (const room of rooms) {
    if (room.roomMm !== null && (least === null || room.roomMm < (least.roomMm ?? 0))) least = room;
  }
  const found =
    least === null
      ? `nothing of it lies within ${mm(ROOM_SEARCH_MM)} mm along any motion`
      : `the least room is ${mm(least.roomMm ?? 0)} mm, at tooth ${words.tooth(least.tooth)}`;
  return {
    code: 'ROOM',
    sentence: `Against the opposing arch, taken to lie in the same frame (as exported with the bite): ${found}. ${bite.meeting} of ${bite.crowns} crowns come within ${mm(BITE_TOUCH_MM)} mm of it, as in a bite; whether it is shifted sideways cannot be told from the scans.`,
  };
}

interface Box {
  readonly min: Vec3;
  readonly max: Vec3;
}

/** In file coordinates, mm. */
function boxOf({ positions }: Pick<TriangleMesh, 'positions'>, originMm: Vec3): Box {
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  positions.forEach((value, i) => {
    const axis = (i % 3) as 0 | 1 | 2;
    min[axis] = Math.min(min[axis], value);
    max[axis] = Math.max(max[axis], value);
  });
  return { min: add(min, originMm), max: add(max, originMm) };
}

function boxDistance(p: Box, q: Box): number {
  const apart = ([0, 1, 2] as const).map((axis) =>
    Math.max(0, p.min[axis] - q.max[axis], q.min[axis] - p.max[axis]),
  );
  return Math.hypot(...apart);
}

/** Teeth without room, as reasons that stand beside the proposal. */
export function roomReasons(rooms: readonly ToothRoom[], settings: ClosureSettings): Reason[] {
  const words = toothWords(settings);
  return rooms
    .filter((room) => room.roomMm !== null && room.roomMm < 0)
    .map((room) => ({
      code: 'NO_ROOM',
      sentence: `Tooth ${words.tooth(room.tooth)} is to move ${mm(room.motionMm)} mm but meets the opposing arch after ${mm(room.freePathMm ?? 0)} mm.`,
    }));
}

function crownPoints(mesh: TriangleMesh, labels: ToothMap, tooth: ToothNumber): Vec3[] {
  const vertices = new Set<number>();
  for (let t = 0; t < labels.length; t += 1) {
    if (labels[t] !== tooth) continue;
    for (let k = 0; k < 3; k += 1) vertices.add(mesh.triangles[3 * t + k]!);
  }
  return [...vertices].map((v) => vertexAt(mesh.positions, v));
}

function shortestPath(
  surface: IndexedSurface,
  points: readonly Vec3[],
  shift: Vec3,
  direction: Vec3,
): number | null {
  let best: number | null = null;
  for (const point of points) {
    const hit = castRay(surface, add(point, shift), direction, best ?? ROOM_SEARCH_MM);
    if (hit !== null && (best === null || hit.distanceMm < best)) best = hit.distanceMm;
  }
  return best;
}
