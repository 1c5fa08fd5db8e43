import { type EdgeTopology, triangleComponents } from '../geometry/adjacency.ts';
import type { Seams } from '../geometry/close-seams.ts';
import { signedVolume } from '../geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import type { WeldResult } from '../geometry/weld.ts';
import { formatCount } from './format-count.ts';
import { COARSE_EDGE_MM, COARSEST_STEP_MM } from './limits.ts';
import { plural } from './raw-mesh.ts';
import type { HealthFinding, ScanHealth, UnitDecision } from './types.ts';

/** What {@link checkHealth} looks at. */
export interface HealthInput {
  /** Welded, in mm. */
  readonly mesh: TriangleMesh;
  /** The triangles of the file faced inwards and were turned over. */
  readonly turned?: boolean;
  /** Of the same mesh; its lengths in the file's unit. */
  readonly edges: EdgeTopology;
  readonly mmPerUnit: number;
  readonly weld: WeldResult;
  /** Seams that were closed, and what is left of others; lengths in the file's unit. */
  readonly seams: Omit<Seams, 'positions'>;
  readonly unit: UnitDecision;
  /** Largest rounding step of the file's own coordinates, mm; 0 when they are exact enough not to matter. */
  readonly coordinateStepMm: number;
  /** What the reader found. */
  readonly found: readonly HealthFinding[];
}

const info = (code: string, count: number | null, sentence: string): HealthFinding => ({
  code,
  severity: 'info',
  sentence,
  count,
});
const warning = (code: string, count: number | null, sentence: string): HealthFinding => ({
  code,
  severity: 'warning',
  sentence,
  count,
});

const TURNED = warning(
  'TURNED_OVER',
  null,
  'The triangles of the file face inwards: crowns are hollow where they should bulge. All were turned over. A mirrored file looks so, too, and has right and left exchanged: check its export, and that this is a scan of teeth.',
);

/** A slit of fewer edges than this is one of the flaws that many scans have, not a cut. */
const LEAST_SEAM_EDGES = 8;
/** A piece smaller than this share of the scan is a crumb, not a second scan. */
const CRUMB_SHARE = 0.01;
/** More repaired triangles than this share of all means that the export went wrong, not that a sliver was collapsed. */
const NOTABLE_REPAIR_SHARE = 0.01;

/** Corners of the axis-parallel box round all positions: lowest and highest, (0, 0, 0) for no position. */
export function boundingBox(positions: Float32Array | Float64Array): { low: Vec3; high: Vec3 } {
  if (positions.length === 0) return { low: [0, 0, 0], high: [0, 0, 0] };
  const low: [number, number, number] = [Infinity, Infinity, Infinity];
  const high: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const value = positions[i + k]!;
      if (value < low[k]!) low[k] = value;
      if (value > high[k]!) high[k] = value;
    }
  }
  return { low, high };
}

function totalArea({ positions, triangles }: TriangleMesh): number {
  let sum = 0;
  for (let i = 0; i < triangles.length; i += 3) {
    const a = 3 * triangles[i]!;
    const b = 3 * triangles[i + 1]!;
    const c = 3 * triangles[i + 2]!;
    const ux = positions[b]! - positions[a]!;
    const uy = positions[b + 1]! - positions[a + 1]!;
    const uz = positions[b + 2]! - positions[a + 2]!;
    const vx = positions[c]! - positions[a]!;
    const vy = positions[c + 1]! - positions[a + 1]!;
    const vz = positions[c + 2]! - positions[a + 2]!;
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    sum += Math.sqrt(x * x + y * y + z * z);
  }
  return sum / 2;
}

/** Counts of a welded mesh, and sentences for what the user should know about it. */
export function checkHealth(input: HealthInput): ScanHealth {
  const { mesh, edges, weld } = input;
  const pieces = triangleComponents(edges.adjacency).sizes;
  const { low, high } = boundingBox(mesh.positions);
  const health = {
    vertices: mesh.positions.length / 3,
    triangles: mesh.triangles.length / 3,
    weldedVertices: weld.mergedVertices,
    degenerateRemoved: weld.degenerateRemoved,
    duplicatesRemoved: weld.duplicatesRemoved,
    components: pieces.length,
    largestComponentTriangles: pieces.reduce((a, b) => Math.max(a, b), 0),
    openEdges: edges.openEdges,
    nonManifoldEdges: edges.nonManifoldEdges,
    flippedEdges: edges.flippedEdges,
    medianEdgeMm: edges.medianEdgeMm * input.mmPerUnit,
    sizeMm: [high[0] - low[0], high[1] - low[1], high[2] - low[2]] as const,
    areaMm2: totalArea(mesh),
  };
  const insideOut = health.openEdges === 0 && health.flippedEdges === 0 && signedVolume(mesh) < 0;
  const findings = [
    ...input.found,
    ...repairFindings(weld),
    ...surfaceFindings(health, pieces, insideOut),
    ...seamFindings(health, input),
    ...(input.turned ? [TURNED] : []),
    ...scaleFindings(health, input),
  ];
  return { ...health, findings };
}

function repairFindings(weld: WeldResult): HealthFinding[] {
  const findings: HealthFinding[] = [];
  const all = weld.triangles.length / 3 + weld.degenerateRemoved + weld.duplicatesRemoved;
  const grade = (count: number) => (count > NOTABLE_REPAIR_SHARE * all ? warning : info);
  const { degenerateRemoved, duplicatesRemoved, unusedVertices } = weld;
  if (degenerateRemoved > 0) {
    const sentence = `${plural(degenerateRemoved, 'triangle')} without area removed.`;
    findings.push(grade(degenerateRemoved)('DEGENERATE_TRIANGLES_REMOVED', degenerateRemoved, sentence));
  }
  if (duplicatesRemoved > 0) {
    const sentence = `${plural(duplicatesRemoved, 'repeated triangle')} removed.`;
    findings.push(grade(duplicatesRemoved)('DUPLICATE_TRIANGLES_REMOVED', duplicatesRemoved, sentence));
  }
  if (unusedVertices > 0) {
    const sentence = `${formatCount(unusedVertices)} ${unusedVertices === 1 ? 'vertex that belongs' : 'vertices that belong'} to no triangle removed.`;
    findings.push(info('UNUSED_VERTICES_REMOVED', unusedVertices, sentence));
  }
  return findings;
}

type Counts = Omit<ScanHealth, 'findings'>;

function surfaceFindings(health: Counts, pieces: readonly number[], insideOut: boolean): HealthFinding[] {
  const findings: HealthFinding[] = [];
  if (pieces.length > 1) {
    const crumbs = pieces.filter((size) => size < CRUMB_SHARE * health.triangles).length;
    const share = ((100 * health.largestComponentTriangles) / health.triangles).toFixed(1);
    const sentence = `The surface is in ${formatCount(pieces.length)} separate pieces, ${plural(crumbs, 'crumb')} among them; the largest holds ${share} % of the triangles.`;
    findings.push(info('SEVERAL_PIECES', pieces.length, sentence));
  }
  if (health.openEdges === 0) {
    findings.push(info('SURFACE_CLOSED', 0, 'The surface is closed: it has no border and no hole.'));
  } else {
    const sentence = `The surface is open along ${plural(health.openEdges, 'edge')}: its border, and holes if there are any.`;
    findings.push(info('SURFACE_OPEN', health.openEdges, sentence));
  }
  if (health.nonManifoldEdges > 0) {
    const sentence = `${plural(health.nonManifoldEdges, 'edge')} where three or more triangles meet; surface beside ${health.nonManifoldEdges === 1 ? 'it' : 'them'} is not followed across.`;
    findings.push(warning('NON_MANIFOLD_EDGES', health.nonManifoldEdges, sentence));
  }
  if (health.flippedEdges > 0) {
    const sentence = `${plural(health.flippedEdges, 'edge')} where one of the two triangles is turned over; inside and outside are unclear there.`;
    findings.push(warning('FLIPPED_EDGES', health.flippedEdges, sentence));
  }
  if (insideOut) {
    const sentence =
      'The closed surface is inside out: its triangles face inwards. Export it with outward normals.';
    findings.push(warning('INSIDE_OUT', null, sentence));
  }
  return findings;
}

const gradeOfSeam = (edges: number) => (edges < LEAST_SEAM_EDGES ? info : warning);

function seamFindings({ openEdges }: Counts, { seams, mmPerUnit }: HealthInput): HealthFinding[] {
  const findings: HealthFinding[] = [];
  const { joinedPairs, farthestMove, crackEdges, isLoose } = seams;
  if (joinedPairs > 0) {
    const sentence = `The surface was cut apart along ${plural(joinedPairs, 'edge')}, with both sides still against each other, as in models that are cut into crowns before they are exported. The sides were joined; for that no point was moved by more than ${(1000 * farthestMove * mmPerUnit).toFixed(1)} µm. Make sure that the crowns stand as they were scanned.`;
    findings.push(gradeOfSeam(joinedPairs)('SEAMS_JOINED', joinedPairs, sentence));
  }
  if (crackEdges > 0) {
    const sentence = `The surface has hairline cracks: ${plural(crackEdges, 'open edge')} ${crackEdges === 1 ? 'lies' : 'lie'} against another one, but not end by end, so ${crackEdges === 1 ? 'it was' : 'they were'} not joined. Teeth and spaces beside them may be told wrongly. Export the scan as it was scanned, in one piece.`;
    findings.push(gradeOfSeam(crackEdges)('CRACKS', crackEdges, sentence));
  }
  if (isLoose) {
    const sentence = `The triangles hang together too little for a scan: ${plural(openEdges, 'edge')} are open. Export it with its corners joined.`;
    findings.push(warning('SURFACE_LOOSE', openEdges, sentence));
  }
  return findings;
}

function scaleFindings(health: Counts, { unit, coordinateStepMm }: HealthInput): HealthFinding[] {
  const findings: HealthFinding[] = [];
  if (!unit.sure) {
    findings.push(warning(unit.basis === 'user' ? 'UNIT_IMPLAUSIBLE' : 'UNIT_UNSURE', null, unit.sentence));
  }
  if (health.medianEdgeMm > COARSE_EDGE_MM) {
    const sentence = `The scan is coarse: its median edge is ${health.medianEdgeMm.toFixed(2)} mm, above ${COARSE_EDGE_MM.toFixed(2)} mm; small spaces cannot be measured well.`;
    findings.push(warning('COARSE_SCAN', null, sentence));
  }
  if (coordinateStepMm > COARSEST_STEP_MM) {
    const sentence = `The file lies so far from its origin that its coordinates move in steps of ${coordinateStepMm.toPrecision(2)} mm; export it near the origin.`;
    findings.push(warning('COORDINATE_STEPS', null, sentence));
  }
  return findings;
}
