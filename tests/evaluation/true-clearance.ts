import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { inputError } from '../../src/geometry/archgap-error.ts';
import {
  composeMotions,
  IDENTITY_MOTION,
  invertMotion,
  movePositions,
  type RigidMotion,
} from '../../src/geometry/rigid.ts';
import { castRay, closestBetween, indexSurface } from '../../src/geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { scale, vertexAt } from '../../src/geometry/vec3.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import type { TrueSpace } from './true-spaces.ts';

/** Crowns of another case count as those of this one when they reproduce its true spaces this well, mm. */
const SAME_CROWN_MM = 0.005;
/** Rays are followed this far, mm. */
const REACH_MM = 3;

export type TrueCrowns = ReadonlyMap<ToothNumber, TriangleMesh>;

/**
 * How far two crowns can close along a direction before they touch: the least run of a ray from any corner of either
 * to the other. On crowns of fine triangles without noise that is the truth but for the sagitta of a triangle.
 *
 * @param direction - unit vector from A to B
 * @returns mm; null when no ray of either meets the other within 3 mm
 */
export function clearanceOfCrowns(a: TriangleMesh, b: TriangleMesh, direction: Vec3): number | null {
  const back = scale(direction, -1);
  const least = Math.min(leastRun(a, b, direction), leastRun(b, a, back));
  return Number.isFinite(least) ? least : null;
}

function leastRun(from: TriangleMesh, to: TriangleMesh, direction: Vec3): number {
  const surface = indexSurface(to);
  let least = REACH_MM;
  let met = false;
  for (let i = 0; i < from.positions.length / 3; i += 1) {
    const hit = castRay(surface, vertexAt(from.positions, i), direction, least);
    if (hit === null) continue;
    least = hit.distanceMm;
    met = true;
  }
  return met ? least : Number.POSITIVE_INFINITY;
}

const posesSchema = v.object({
  teeth: v.array(v.object({ iso: v.number(), crown_to_scan: v.array(v.array(v.number())) })),
});

/** Where truth.json puts every crown: its own coordinates to those of the scan. */
function readPoses(folder: string): ReadonlyMap<ToothNumber, RigidMotion> {
  const truth = v.parse(posesSchema, JSON.parse(readFileSync(join(folder, 'truth.json'), 'utf8')));
  return new Map(
    truth.teeth.map(({ iso, crown_to_scan: rows }) => {
      const entry = (r: number, c: number): number => rows[r]![c]!;
      const motion: RigidMotion = {
        rotation: [
          entry(0, 0),
          entry(0, 1),
          entry(0, 2),
          entry(1, 0),
          entry(1, 1),
          entry(1, 2),
          entry(2, 0),
          entry(2, 1),
          entry(2, 2),
        ],
        translation: [entry(0, 3), entry(1, 3), entry(2, 3)],
      };
      return [iso, motion];
    }),
  );
}

/**
 * The true crowns of a case in the coordinates of its scan: from its own folder `crowns`, else from that of another
 * case whose teeth are the same, moved by what both truth files say.
 *
 * @param donor - folder of the other case; null = only its own
 * @throws ArchgapError `CROWNS_DIFFER` when moved crowns do not reproduce the case's true spaces
 */
export async function readTrueCrowns(
  folder: string,
  donor: string | null,
  spaces: readonly TrueSpace[],
): Promise<TrueCrowns> {
  const own = existsSync(join(folder, 'crowns'));
  const source = own ? folder : donor;
  const crowns = new Map<ToothNumber, TriangleMesh>();
  if (source === null || !existsSync(join(source, 'crowns'))) return crowns;
  const here = own ? null : readPoses(folder);
  const there = own ? null : readPoses(source);
  for (const file of readdirSync(join(source, 'crowns'))) {
    const tooth = Number.parseInt(file, 10);
    const pose = here?.get(tooth);
    const before = there?.get(tooth);
    if (!own && !(pose && before)) continue;
    const motion = pose && before ? composeMotions(pose, invertMotion(before)) : IDENTITY_MOTION;
    const { positions, triangles } = await readScan(readFileSync(join(source, 'crowns', file)), {
      fileName: file,
      unit: 'mm',
    });
    crowns.set(tooth, { positions: movePositions(motion, positions), triangles });
  }
  if (!own) checkSameCrowns(crowns, spaces, folder);
  return crowns;
}

function checkSameCrowns(crowns: TrueCrowns, spaces: readonly TrueSpace[], folder: string): void {
  for (const { toothA, toothB, gapMm, state } of spaces) {
    const a = crowns.get(toothA);
    const b = crowns.get(toothB);
    if (!a || !b || state === 'closed') continue;
    const found = closestBetween(indexSurface(a), indexSurface(b)).distanceMm;
    if (Math.abs(found - gapMm) <= SAME_CROWN_MM) continue;
    throw inputError(
      'CROWNS_DIFFER',
      `${folder}: the crowns given with --crowns stand ${found.toFixed(3)} mm apart at ${toothA}-${toothB}, truth.json says ${gapMm.toFixed(3)}; they are not the crowns of this case.`,
    );
  }
}
