import type { Analysis } from '../contacts/types.ts';
import { castRay } from '../geometry/cast-ray.ts';
import { closestPoint } from '../geometry/closest-point.ts';
import { type JobControl, UNATTENDED } from '../geometry/job-control.ts';
import { trianglesByLabel } from '../geometry/submesh.ts';
import type { IndexedSurface } from '../geometry/surface-index.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { add, cross, dot, normalize, scale, sub, vertexAt } from '../geometry/vec3.ts';
import type { ToothMap } from '../teeth/types.ts';
import {
  BITE_DEPTH_MM,
  BITE_LEAST_POINTS,
  BITE_LEAST_TEETH,
  BITE_POINTS_PER_TOOTH,
  BITE_SEARCH_MM,
  BITE_TOP_MM,
  BITE_TOUCH_MM,
} from './tolerances.ts';

export interface BiteInput {
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle. */
  readonly labels: ToothMap;
  readonly analysis: Analysis;
  /** The opposing arch, in its own scan frame. */
  readonly opposing: { readonly mesh: TriangleMesh; readonly surface: IndexedSurface };
  /** From this scan's frame into that of the opposing one, mm. */
  readonly shiftMm: Vec3;
}

/**
 * What speaks against the two arches lying in one frame, or `meets`. `faces-alike`: its crowns point the way of these,
 * or the triangles of a right one face inwards, which looks the same.
 * `crosses`: crowns of one are deep inside the other. `apart`: hardly a crown comes near it.
 */
type BiteVerdict = 'meets' | 'faces-alike' | 'crosses' | 'apart';

export interface Bite {
  readonly verdict: BiteVerdict;
  /** Crowns of this arch that were looked at. */
  readonly crowns: number;
  /** Of those, the ones with a point within 1 mm of the opposing surface, or inside it. */
  readonly meeting: number;
  /** Of those, the ones with several points more than 1 mm inside the opposing arch. */
  readonly deep: number;
  /** Smallest distance from a point of a crown to the opposing surface, mm; null when none lies within the search. */
  readonly nearestMm: number | null;
  /** Deepest point of the crowns counted as `deep`, mm from the opposing surface; 0 without one. */
  readonly deepestMm: number;
}

/**
 * Whether two arches can lie in one frame as they bite. In the bite, crowns of both touch: some come near the other
 * surface, none runs deep into it, and the two face each other. A frame that is wrong by less than about a millimetre
 * shows nothing of this, nor does a mirror image of the opposing arch.
 *
 * @throws ArchgapError `CANCELLED`
 */
export async function judgeBite(input: BiteInput, control: JobControl = UNATTENDED): Promise<Bite> {
  const { mesh, labels } = input;
  const crowns = [...trianglesByLabel(labels)].filter(([tooth]) => tooth !== 0);
  const seen: CrownSeen[] = [];
  for (const [, triangles] of crowns) {
    await control.checkpoint(seen.length / crowns.length, 'looking how the arches meet');
    seen.push(lookAtCrown(pointsOf(mesh, triangles), input));
  }
  const voting = seen.filter(({ alike }) => alike !== null);
  const alike = voting.filter((crown) => crown.alike).length;
  const deepOnes = seen.filter(({ deepPoints }) => deepPoints >= BITE_LEAST_POINTS);
  const deep = deepOnes.length;
  const meeting = seen.filter(
    (crown) => (crown.nearestMm ?? Infinity) <= BITE_TOUCH_MM || crown.inside,
  ).length;
  const least = Math.min(BITE_LEAST_TEETH, seen.length);
  return {
    verdict: verdictOf({ facesAlike: alike >= least && 2 * alike > voting.length, deep, meeting, least }),
    crowns: seen.length,
    meeting,
    deep,
    nearestMm: leastOf(seen.map(({ nearestMm }) => nearestMm)),
    deepestMm: Math.max(0, ...deepOnes.map(({ deepestMm }) => deepestMm)),
  };
}

interface Findings {
  readonly facesAlike: boolean;
  readonly deep: number;
  readonly meeting: number;
  /** So many crowns make a finding. */
  readonly least: number;
}

function verdictOf({ facesAlike, deep, meeting, least }: Findings): BiteVerdict {
  if (facesAlike) return 'faces-alike';
  if (deep >= least) return 'crosses';
  return meeting < least ? 'apart' : 'meets';
}

interface CrownSeen {
  readonly nearestMm: number | null;
  readonly inside: boolean;
  readonly deepPoints: number;
  readonly deepestMm: number;
  /** Whether the opposing surface over its top faces the way it does itself; null when nothing lies over it. */
  readonly alike: boolean | null;
}

function lookAtCrown(points: readonly Vec3[], { analysis, opposing, shiftMm }: BiteInput): CrownSeen {
  const up = analysis.frame.z;
  const down = scale(up, -1);
  const topMm = Math.max(...points.map((p) => dot(p, up))) - BITE_TOP_MM;
  let nearestMm: number | null = null;
  let inside = false;
  let deepPoints = 0;
  let deepestMm = 0;
  let votes = 0;
  let voters = 0;
  for (const point of points) {
    const p = add(point, shiftMm);
    const distanceMm = closestPoint(opposing.surface, p, BITE_SEARCH_MM)?.distanceMm ?? null;
    if (distanceMm !== null && (nearestMm === null || distanceMm < nearestMm)) nearestMm = distanceMm;
    const behind = castRay(opposing.surface, p, down, BITE_SEARCH_MM);
    // From inside the other body the way back to one's own gum leads out of it, through the back of its surface.
    if (behind !== null && dot(normalOf(opposing.mesh, behind.triangle), down) > 0) {
      inside = true;
      const depthMm = distanceMm ?? behind.distanceMm;
      if (depthMm > BITE_DEPTH_MM) deepPoints += 1;
      deepestMm = Math.max(deepestMm, depthMm);
    }
    if (dot(point, up) < topMm) continue;
    const ahead = castRay(opposing.surface, p, up, BITE_SEARCH_MM);
    const hit = ahead === null || (behind !== null && behind.distanceMm < ahead.distanceMm) ? behind : ahead;
    if (hit === null) continue;
    voters += 1;
    if (dot(normalOf(opposing.mesh, hit.triangle), up) > 0) votes += 1;
  }
  return { nearestMm, inside, deepPoints, deepestMm, alike: voters === 0 ? null : 2 * votes > voters };
}

/** Points of a crown, evenly taken from its vertices in the order of the mesh. */
function pointsOf(mesh: TriangleMesh, triangles: Uint32Array): Vec3[] {
  const vertices = new Set<number>();
  for (const t of triangles) {
    for (let k = 0; k < 3; k += 1) vertices.add(mesh.triangles[3 * t + k]!);
  }
  const step = Math.max(1, Math.floor(vertices.size / BITE_POINTS_PER_TOOTH));
  return [...vertices].filter((_, i) => i % step === 0).map((v) => vertexAt(mesh.positions, v));
}

function normalOf({ positions, triangles }: TriangleMesh, t: number): Vec3 {
  const a = vertexAt(positions, triangles[3 * t]!);
  const b = vertexAt(positions, triangles[3 * t + 1]!);
  const c = vertexAt(positions, triangles[3 * t + 2]!);
  return normalize(cross(sub(b, a), sub(c, a)));
}

function leastOf(values: readonly (number | null)[]): number | null {
  const found = values.filter((value) => value !== null);
  return found.length === 0 ? null : Math.min(...found);
}
