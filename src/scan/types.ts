import type { TriangleMesh, Vec3 } from '../geometry/types.ts';

export type LengthUnit = 'mm' | 'cm' | 'm' | 'in';
export type ScanFormat = 'stl-ascii' | 'stl-binary' | 'ply-ascii' | 'ply-binary-le' | 'ply-binary-be';

/** Which unit the file's numbers were taken to be in, and why. */
export interface UnitDecision {
  readonly unit: LengthUnit;
  /** `size`: decided from the extent; `user`: the user said so; `header`: a comment in the file said so. */
  readonly basis: 'size' | 'user' | 'header';
  /** False when two units were both plausible: the screen then asks. */
  readonly sure: boolean;
  /** One sentence for the screen and the report. */
  readonly sentence: string;
}

/** Where the scan came from. Enough to recognise the very file again. */
export interface ScanSource {
  readonly fileName: string;
  readonly byteLength: number;
  /** Lower-case hex SHA-256 of the file's bytes. */
  readonly sha256: string;
  readonly format: ScanFormat;
  readonly unit: UnitDecision;
  /** Triangles in the file before any repair (polygons counted after their triangulation). */
  readonly trianglesInFile: number;
  readonly verticesInFile: number;
}

export interface HealthFinding {
  /** Stable, e.g. `DEGENERATE_TRIANGLES_REMOVED`. */
  readonly code: string;
  readonly severity: 'info' | 'warning';
  /** One sentence that says what was found and what it means for the measurement. */
  readonly sentence: string;
  readonly count: number | null;
}

/** What the checks of the welded mesh found. */
export interface ScanHealth {
  readonly vertices: number;
  readonly triangles: number;
  readonly weldedVertices: number;
  readonly degenerateRemoved: number;
  readonly duplicatesRemoved: number;
  readonly components: number;
  /** Triangles in the largest component. */
  readonly largestComponentTriangles: number;
  readonly openEdges: number;
  /** Edges with three or more triangles. */
  readonly nonManifoldEdges: number;
  /** Edges whose two triangles run the same way round. */
  readonly flippedEdges: number;
  readonly medianEdgeMm: number;
  readonly sizeMm: Vec3;
  readonly areaMm2: number;
  readonly findings: readonly HealthFinding[];
}

/**
 * A checked scan in millimetres: welded (exactly equal coordinates), without degenerate or duplicate triangles.
 * Scan frame = the file's axes; a point of the file in mm is `positions + originMm` (zero unless the file lies so
 * far from its origin that 32-bit floats would lose micrometres).
 */
export interface Scan extends TriangleMesh {
  /** (n x 3) RGB 0-255 per vertex, or null when the file has no colour. */
  readonly colors: Uint8Array | null;
  readonly originMm: Vec3;
  readonly source: ScanSource;
  readonly health: ScanHealth;
  /**
   * Per triangle, its number among the file's triangles (polygons cut up in order); present after reading. Differs
   * from the identity once a triangle was removed: whoever has labels per file triangle needs it.
   */
  readonly triangleInFile?: Uint32Array;
  /** Per vertex, the first of the file's vertices (STL: corners, three per triangle) at that place. */
  readonly vertexInFile?: Uint32Array;
}
