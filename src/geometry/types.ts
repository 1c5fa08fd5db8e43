/** A point or direction, three numbers; millimetres unless the name says otherwise. */
export type Vec3 = readonly [number, number, number];

/** An indexed triangle mesh. Not modified by any function of the core unless its docstring says so. */
export interface TriangleMesh {
  /** (n x 3) vertex positions, mm. */
  readonly positions: Float32Array;
  /** (m x 3) vertex indices, counter-clockwise seen from outside. */
  readonly triangles: Uint32Array;
}

/** The closest points of two surfaces. */
export interface ClosestPair {
  readonly distanceMm: number;
  readonly a: Vec3;
  readonly b: Vec3;
  /** Triangle index (in the mesh that was asked about) that holds the point. */
  readonly triangleA: number;
  readonly triangleB: number;
}
