/** Every tolerance and limit of reading a scan, with its reason. */

/** Triangles or vertices beyond this are refused before anything is allocated: it would exhaust a browser tab. */
export const LARGEST_COUNT = 50_000_000;

/** A coordinate beyond this (in the file's unit) is damage, not a place: even in micrometres it is 1 km away. */
export const LARGEST_COORDINATE = 1e9;

/** Corners of one polygon: what the usual one-byte corner count can say. */
export const LARGEST_POLYGON = 255;

/**
 * A mesh farther from its origin than this many times its own size is moved to a nearer one: 32-bit floats carry
 * 2^-24 of a coordinate, so 16 sizes away a 60 mm arch would be rounded by 0.03 micrometres; 16 times farther,
 * by half a micrometre.
 */
export const FARTHEST_IN_SIZES = 16;

/** Steps between the file's own neighbouring 32-bit coordinates that begin to matter beside a 0.01 mm measurement. */
export const COARSEST_STEP_MM = 0.001;

/**
 * Median edge beyond which a wall's shape between the vertices is guessed: at 0.4 mm some fitted walls were wrong
 * without showing it, so a small space cannot be measured there.
 */
export const COARSE_EDGE_MM = 0.35;

/**
 * Binary PLY bodies up to this size are decoded by loaders.gl; larger ones by the fixed-stride reader. The loader keeps
 * the file as text and its numbers in plain arrays: 11 times a file of 1.2 MB, where the stride takes 8 times.
 */
export const LOADERS_GL_LIMIT_BYTES = 1024 * 1024;

/** A PLY header that has not ended by here is not a header. */
export const LONGEST_PLY_HEADER = 1 << 20;

/** Triangles, faces or vertices handled between two pauses, so that pauses are well under 50 ms apart. */
export const TEXT_CHUNK = 1 << 15;
export const BINARY_CHUNK = 1 << 18;

/**
 * Open edges that face each other end by end within this are one edge that was cut: models cut into crowns before
 * they are exported have such seams of some micrometres, the closest spaces between scanned walls are wider.
 */
export const SEAM_REACH_MM = 0.03;
