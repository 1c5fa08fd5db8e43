import { inputError } from '../geometry/archgap-error.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { sub } from '../geometry/vec3.ts';
import type { LengthUnit, Scan } from '../scan/types.ts';
import { UNIT_NAMES } from '../scan/units.ts';
import { toothSortIndex } from '../teeth/notation.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';

/** How many files of another unit are named one by one. */
const MOST_TOLD = 3;

/** One tooth of a set of separate crowns. */
export interface Crown {
  readonly tooth: ToothNumber;
  readonly scan: Scan;
}

/** Separate crowns as one labelled mesh, in the frame of the first crown. */
export interface MergedCrowns {
  readonly mesh: TriangleMesh;
  readonly labels: ToothMap;
  readonly originMm: Vec3;
  /** Triangle numbers of each crown, in arch order. */
  readonly parts: ReadonlyMap<ToothNumber, Uint32Array>;
}

/**
 * Lays crowns that share one frame into one mesh, in arch order.
 * @throws ArchgapError `CROWN_TWICE`, `CROWN_UNITS_DIFFER`
 */
export function mergeCrowns(crowns: readonly Crown[]): MergedCrowns {
  const sorted = [...crowns].sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
  const first = sorted[0];
  if (first === undefined)
    throw inputError('ONE_TOOTH', 'No crown was given; a contact needs two neighbours.');
  refuseMixedUnits(sorted);
  const originMm = first.scan.originMm;
  const vertexCount = sorted.reduce((sum, crown) => sum + crown.scan.positions.length, 0);
  const triangleCount = sorted.reduce((sum, crown) => sum + crown.scan.triangles.length, 0);
  const positions = new Float32Array(vertexCount);
  const triangles = new Uint32Array(triangleCount);
  const labels = new Uint8Array(triangleCount / 3);
  const parts = new Map<ToothNumber, Uint32Array>();
  let v = 0;
  let t = 0;
  for (const { tooth, scan } of sorted) {
    if (parts.has(tooth)) {
      const sentence = `Tooth ${tooth} was given twice; expected one file per tooth.`;
      throw inputError('CROWN_TWICE', sentence, { details: { tooth } });
    }
    const shift = sub(scan.originMm, originMm);
    for (let i = 0; i < scan.positions.length; i += 1) positions[v + i] = scan.positions[i]! + shift[i % 3]!;
    for (let i = 0; i < scan.triangles.length; i += 1) triangles[t + i] = scan.triangles[i]! + v / 3;
    labels.fill(tooth, t / 3, (t + scan.triangles.length) / 3);
    parts.set(
      tooth,
      Uint32Array.from({ length: scan.triangles.length / 3 }, (_, i) => t / 3 + i),
    );
    v += scan.positions.length;
    t += scan.triangles.length;
  }
  return { mesh: { positions, triangles }, labels, originMm, parts };
}

/**
 * Numbers of two units are not of one frame. Stating one unit for all helps only where the size of a crown leaves two
 * open; else the file itself has to be exported anew.
 */
function refuseMixedUnits(crowns: readonly Crown[]): void {
  const unitOf = ({ scan }: Crown): LengthUnit => scan.source.unit.unit;
  const counts = new Map<LengthUnit, number>();
  for (const crown of crowns) counts.set(unitOf(crown), (counts.get(unitOf(crown)) ?? 0) + 1);
  if (counts.size < 2) return;
  // The trade exports millimetres, so they win between equals.
  const rank = (unit: LengthUnit): number => counts.get(unit)! + (unit === 'mm' ? 0.5 : 0);
  const [most] = [...counts.keys()].sort((a, b) => rank(b) - rank(a)) as [LengthUnit];
  const odd = crowns.filter((crown) => unitOf(crown) !== most);
  const told = odd
    .slice(0, MOST_TOLD)
    .map(({ scan: { source } }) => `${source.fileName} in ${UNIT_NAMES[source.unit.unit]}`);
  const more = odd.length > MOST_TOLD ? ` and ${odd.length - MOST_TOLD} more` : '';
  const one = odd.length === 1;
  const [it, isAre] = one ? ['it', 'is'] : ['they', 'are'];
  const isOpen = odd.every(({ scan }) => !scan.source.unit.sure);
  const others = `the other ${crowns.length - odd.length === 1 ? 'one' : crowns.length - odd.length}`;
  const doNext = isOpen
    ? `If ${it} ${isAre} in ${UNIT_NAMES[most]} like ${others}, state that unit; else export ${one ? 'it' : 'them'}`
    : `Stating one unit cannot help; export ${one ? 'it' : 'them'}`;
  throw inputError(
    'CROWN_UNITS_DIFFER',
    `The crowns were read in different units: ${told.join(', ')}${more}, ${others} in ${UNIT_NAMES[most]}. ${doNext} again in ${UNIT_NAMES[most]}, in the frame of the others.`,
    { details: { files: odd.map(({ scan }) => scan.source.fileName).join(', ') } },
  );
}
