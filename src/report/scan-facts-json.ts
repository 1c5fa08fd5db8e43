import * as v from 'valibot';
import type { ScanHealth, ScanSource } from '../scan/types.ts';

/** How the facts about a scan stand in our JSON files, and the pieces their schemas are made of. */

/** Longest list a one-arch file can need; longer ones are not ours. */
const MOST_ITEMS = 10_000;

export const finite = v.pipe(v.number(), v.finite());
export const nonNegative = v.pipe(finite, v.minValue(0));
const count = v.pipe(v.number(), v.safeInteger(), v.minValue(0));
export const orNull = <T extends v.GenericSchema>(schema: T) => v.nullable(schema);
export const list = <T extends v.GenericSchema>(schema: T) =>
  v.pipe(v.array(schema), v.maxLength(MOST_ITEMS));
export const point = v.tuple([finite, finite, finite]);
export const unit = v.picklist(['mm', 'cm', 'm', 'in']);

export const sourceSchema = v.object({
  file_name: v.string(),
  byte_length: count,
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, 'expected 64 lower-case hexadecimal digits')),
  format: v.picklist(['stl-ascii', 'stl-binary', 'ply-ascii', 'ply-binary-le', 'ply-binary-be']),
  unit: v.object({
    unit,
    basis: v.picklist(['size', 'user', 'header']),
    sure: v.boolean(),
    sentence: v.string(),
  }),
  triangles_in_file: count,
  vertices_in_file: count,
});

export const healthSchema = v.object({
  vertices: count,
  triangles: count,
  welded_vertices: count,
  degenerate_removed: count,
  duplicates_removed: count,
  components: count,
  largest_component_triangles: count,
  open_edges: count,
  non_manifold_edges: count,
  flipped_edges: count,
  median_edge_mm: nonNegative,
  size_mm: point,
  area_mm2: nonNegative,
  findings: list(
    v.object({
      code: v.string(),
      severity: v.picklist(['info', 'warning']),
      sentence: v.string(),
      count: orNull(count),
    }),
  ),
});

/** A scan's source as JSON. */
export function sourceToJson(source: ScanSource): v.InferInput<typeof sourceSchema> {
  return {
    file_name: source.fileName,
    byte_length: source.byteLength,
    sha256: source.sha256,
    format: source.format,
    unit: { ...source.unit },
    triangles_in_file: source.trianglesInFile,
    vertices_in_file: source.verticesInFile,
  };
}

/** The health of a scan as JSON. */
export function healthToJson(health: ScanHealth): v.InferInput<typeof healthSchema> {
  return {
    vertices: health.vertices,
    triangles: health.triangles,
    welded_vertices: health.weldedVertices,
    degenerate_removed: health.degenerateRemoved,
    duplicates_removed: health.duplicatesRemoved,
    components: health.components,
    largest_component_triangles: health.largestComponentTriangles,
    open_edges: health.openEdges,
    non_manifold_edges: health.nonManifoldEdges,
    flipped_edges: health.flippedEdges,
    median_edge_mm: health.medianEdgeMm,
    size_mm: [...health.sizeMm],
    area_mm2: health.areaMm2,
    findings: health.findings.map((finding) => ({ ...finding })),
  };
}

/** A scan's source, read back. */
export function sourceFromJson(source: v.InferOutput<typeof sourceSchema>): ScanSource {
  return {
    fileName: source.file_name,
    byteLength: source.byte_length,
    sha256: source.sha256,
    format: source.format,
    unit: source.unit,
    trianglesInFile: source.triangles_in_file,
    verticesInFile: source.vertices_in_file,
  };
}

/** The health of a scan, read back. */
export function healthFromJson(health: v.InferOutput<typeof healthSchema>): ScanHealth {
  return {
    vertices: health.vertices,
    triangles: health.triangles,
    weldedVertices: health.welded_vertices,
    degenerateRemoved: health.degenerate_removed,
    duplicatesRemoved: health.duplicates_removed,
    components: health.components,
    largestComponentTriangles: health.largest_component_triangles,
    openEdges: health.open_edges,
    nonManifoldEdges: health.non_manifold_edges,
    flippedEdges: health.flipped_edges,
    medianEdgeMm: health.median_edge_mm,
    sizeMm: health.size_mm,
    areaMm2: health.area_mm2,
    findings: health.findings,
  };
}
