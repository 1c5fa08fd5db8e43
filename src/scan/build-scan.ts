import { type EdgeTopology, edgeTopology, keepAdjacency } from '../geometry/adjacency.ts';
import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { closeSeams, type Seams } from '../geometry/close-seams.ts';
import { partOf, runAtOnce, type Steps } from '../geometry/steps.ts';
import type { Vec3 } from '../geometry/types.ts';
import { type WeldResult, weldInSteps } from '../geometry/weld.ts';
import { boundingBox, checkHealth } from './check-health.ts';
import { decideUnit } from './decide-unit.ts';
import { facesInwards, turnOver } from './facing.ts';
import { formatCount } from './format-count.ts';
import { FARTHEST_IN_SIZES, LARGEST_COORDINATE, SEAM_REACH_MM } from './limits.ts';
import type { RawMesh } from './raw-mesh.ts';
import type { LengthUnit, Scan, ScanSource } from './types.ts';
import { MM_PER_UNIT } from './units.ts';

/** What is known about the file beside its mesh. */
export interface SourceFacts {
  readonly fileName: string;
  readonly byteLength: number;
  readonly sha256: string;
  /** What the user says; null to decide from header and size. */
  readonly unit: LengthUnit | null;
}

/** Spacing of 32-bit floats near 1. */
const FLOAT32_STEP = 2 ** -23;

/**
 * Makes a checked scan of what a reader found: coordinates checked, moved near the origin where they lie too far
 * away for 32-bit floats, welded, unit decided, scaled to millimetres, turned over where an open surface faces inwards,
 * health checked.
 *
 * @param raw - its arrays may be reused; not valid afterwards
 * @throws ArchgapError input `COORDINATE_NOT_FINITE`, `COORDINATE_OUT_OF_RANGE`, `NO_TRIANGLES`
 */
export function* buildScan(raw: RawMesh, facts: SourceFacts): Steps<Scan> {
  refuseBadCoordinates(raw);
  yield { fraction: 0.05, stage: 'Checking coordinates' };
  const origin = chooseOrigin(raw);
  const positions = relativeTo(raw.positions, origin);
  const trianglesInFile = (raw.triangles ?? raw.positions).length / (raw.triangles === null ? 9 : 3);
  const { triangles, colors, firstCorner } = raw;
  // Points that were moved may have become equal by rounding.
  const isDistinct = firstCorner !== undefined && positions === raw.positions;
  const input = { positions, triangles, colors, isDistinct, ...(firstCorner && { firstCorner }) };
  const exact = yield* partOf(weldInSteps(input), 0.1, 0.7);
  refuseEmpty(exact, trianglesInFile);
  const found = edgeTopology(exact);
  yield { fraction: 0.85, stage: 'Checking the surface' };

  const { low, high } = boundingBox(exact.positions);
  const longestSide = Math.max(high[0] - low[0], high[1] - low[1], high[2] - low[2]);
  const unit = decideUnit(
    { longestSide, medianEdge: found.medianEdgeMm, headerText: raw.headerText },
    facts.unit,
  );
  const mmPerUnit = MM_PER_UNIT[unit.unit];
  const reach = SEAM_REACH_MM / mmPerUnit;
  const { weld, edges, seams } = withoutSeams(exact, found, reach);
  refuseEmpty(weld, trianglesInFile);
  if (mmPerUnit !== 1) {
    for (let i = 0; i < weld.positions.length; i++) weld.positions[i] = weld.positions[i]! * mmPerUnit;
  }
  const mesh = { positions: weld.positions, triangles: weld.triangles };
  // A closed surface says by its volume which side is inside; checkHealth looks at that.
  const turned = edges.openEdges > 0 && facesInwards(mesh);
  // Turned triangles have other first edges.
  if (turned) turnOver(mesh.triangles);
  else keepAdjacency(mesh.triangles, edges);
  const health = checkHealth({
    mesh,
    turned,
    edges,
    mmPerUnit,
    weld,
    seams,
    unit,
    coordinateStepMm:
      raw.positions instanceof Float32Array ? mmPerUnit * coordinateStep(origin, low, high) : 0,
    found: raw.findings,
  });
  yield { fraction: 1, stage: 'Checking the surface' };
  const source: ScanSource = {
    fileName: facts.fileName,
    byteLength: facts.byteLength,
    sha256: facts.sha256,
    format: raw.format,
    unit,
    trianglesInFile,
    verticesInFile: firstCorner ? 3 * trianglesInFile : raw.positions.length / 3,
  };
  // Named one by one: a spread makes a new hidden class for every scan, and all compiled code that knew the last one
  // is compiled again.
  return {
    positions: mesh.positions,
    triangles: mesh.triangles,
    colors: weld.colors,
    originMm: [origin[0] * mmPerUnit, origin[1] * mmPerUnit, origin[2] * mmPerUnit],
    source,
    health,
    triangleInFile: weld.triangleSource,
    vertexInFile: weld.vertexSource,
  };
}

interface Surface {
  readonly weld: WeldResult;
  readonly edges: EdgeTopology;
}

/** The surface with its seams closed. @param reach - in the file's unit */
function withoutSeams(
  exact: WeldResult,
  found: EdgeTopology,
  reach: number,
): Surface & { readonly seams: Seams } {
  const seams = closeSeams(exact, found.adjacency, reach);
  if (seams.joinedPairs === 0) return { weld: exact, edges: found, seams };
  const { triangles, colors } = exact;
  const again = runAtOnce(weldInSteps({ positions: seams.positions, triangles, colors }));
  const weld: WeldResult = {
    ...again,
    mergedVertices: exact.mergedVertices + again.mergedVertices,
    unusedVertices: exact.unusedVertices + again.unusedVertices,
    degenerateRemoved: exact.degenerateRemoved + again.degenerateRemoved,
    duplicatesRemoved: exact.duplicatesRemoved + again.duplicatesRemoved,
    vertexSource: again.vertexSource.map((vertex) => exact.vertexSource[vertex]!),
    triangleSource: again.triangleSource.map((triangle) => exact.triangleSource[triangle]!),
  };
  const edges = edgeTopology(weld);
  // What was a side of a seam may have closed by what was joined beside it, and what faces another only now stays.
  const left = closeSeams(weld, edges.adjacency, reach);
  const crackEdges = left.crackEdges + 2 * left.joinedPairs;
  return { weld, edges, seams: { ...seams, crackEdges, isLoose: left.isLoose } };
}

function refuseEmpty({ triangles }: WeldResult, trianglesInFile: number): void {
  if (triangles.length > 0) return;
  throw inputError(
    'NO_TRIANGLES',
    `None of the triangles of the file (${formatCount(trianglesInFile)}) has an area. Export the scan again.`,
  );
}

function refuseBadCoordinates(raw: RawMesh): void {
  const { positions } = raw;
  for (let i = 0; i < positions.length; i++) {
    // The comparison is false for NaN, too.
    if (!(Math.abs(positions[i]!) <= LARGEST_COORDINATE)) throw badCoordinate(raw, i);
  }
}

function badCoordinate(raw: RawMesh, i: number): ArchgapError {
  const value = raw.positions[i]!;
  const position = Math.floor(i / 3);
  const vertex = raw.firstCorner ? raw.firstCorner[position]! : position;
  const axis = 'xyz'[i % 3]!;
  const place =
    raw.triangles === null || raw.firstCorner
      ? `corner ${(vertex % 3) + 1} of triangle ${formatCount(Math.floor(vertex / 3))} (counted from 0)`
      : `vertex ${formatCount(vertex)} (counted from 0)`;
  const details = { vertex, axis, value: String(value) };
  if (Number.isFinite(value)) {
    const sentence = `The coordinate ${axis} of ${place} is ${value.toPrecision(4)}, which is no place in a mouth: the file is damaged or of another format. Export it again.`;
    return inputError('COORDINATE_OUT_OF_RANGE', sentence, { details });
  }
  const sentence = `The coordinate ${axis} of ${place} is ${Number.isNaN(value) ? 'not a number' : 'infinite'}: the file is damaged. Export it again.`;
  return inputError('COORDINATE_NOT_FINITE', sentence, { details });
}

/** Whole numbers near the middle of the used vertices when they lie far away, else zero. File unit. */
function chooseOrigin({ positions, triangles, firstCorner }: RawMesh): Vec3 {
  const low = new Float64Array(3).fill(Infinity);
  const high = new Float64Array(3).fill(-Infinity);
  const used = firstCorner ? null : triangles;
  const count = used === null ? positions.length / 3 : used.length;
  for (let i = 0; i < count; i++) {
    const at = 3 * (used === null ? i : used[i]!);
    for (let k = 0; k < 3; k++) {
      const value = positions[at + k]!;
      if (value < low[k]!) low[k] = value;
      if (value > high[k]!) high[k] = value;
    }
  }
  const size = Math.max(high[0]! - low[0]!, high[1]! - low[1]!, high[2]! - low[2]!);
  const farthest = [0, 1, 2].reduce((far, k) => Math.max(far, Math.abs(low[k]!), Math.abs(high[k]!)), 0);
  if (!(farthest > FARTHEST_IN_SIZES * size)) return [0, 0, 0];
  // Adding 0 turns -0, which would print as such, into 0.
  const middle = (k: number) => Math.round((low[k]! + high[k]!) / 2) + 0;
  return [middle(0), middle(1), middle(2)];
}

/** 32-bit positions relative to the origin; the subtraction of a whole number loses nothing of a 32-bit coordinate. */
function relativeTo(positions: Float32Array | Float64Array, origin: Vec3): Float32Array {
  const moved = origin.some((x) => x !== 0);
  if (positions instanceof Float32Array && !moved) return positions;
  const result = new Float32Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    result[i] = positions[i]! - origin[0];
    result[i + 1] = positions[i + 1]! - origin[1];
    result[i + 2] = positions[i + 2]! - origin[2];
  }
  return result;
}

/** Largest spacing of the file's 32-bit coordinates. */
function coordinateStep(origin: Vec3, low: Vec3, high: Vec3): number {
  let farthest = 0;
  for (let k = 0; k < 3; k++) {
    farthest = Math.max(farthest, Math.abs(origin[k]! + low[k]!), Math.abs(origin[k]! + high[k]!));
  }
  return farthest * FLOAT32_STEP;
}
