import { inputError } from '../../src/geometry/archgap-error.ts';
import type { Scan } from '../../src/scan/types.ts';
import type { ToothMap } from '../../src/teeth/types.ts';

/** A loose crumb in a label file: no tooth. */
const CRUMB = 255;

/**
 * Labels of the file's triangles on the checked scan, which may have fewer.
 *
 * @param perTriangle - one byte per triangle of the file
 * @throws ArchgapError `LABELS_DO_NOT_FIT`
 */
export function labelsOfTriangles(scan: Scan, perTriangle: Uint8Array): ToothMap {
  const inFile = scan.triangleInFile;
  checkCount(perTriangle, scan.source.trianglesInFile, 'triangles');
  return Uint8Array.from({ length: scan.triangles.length / 3 }, (_, t) =>
    toothOf(perTriangle[inFile ? inFile[t]! : t]!),
  );
}

/**
 * The same from labels of the file's vertices: a triangle takes the label that two of its corners share, else its
 * first corner's.
 *
 * @param perVertex - one byte per vertex of the file
 * @throws ArchgapError `LABELS_DO_NOT_FIT`
 */
export function labelsOfVertices(scan: Scan, perVertex: Uint8Array): ToothMap {
  const inFile = scan.vertexInFile;
  checkCount(perVertex, scan.source.verticesInFile, 'vertices');
  const at = (corner: number): number => {
    const v = scan.triangles[corner]!;
    return toothOf(perVertex[inFile ? inFile[v]! : v]!);
  };
  return Uint8Array.from({ length: scan.triangles.length / 3 }, (_, t) => {
    const second = at(3 * t + 1);
    return second === at(3 * t + 2) ? second : at(3 * t);
  });
}

function toothOf(label: number): number {
  return label === CRUMB ? 0 : label;
}

function checkCount(labels: Uint8Array, expected: number, what: string): void {
  if (labels.length === expected) return;
  throw inputError(
    'LABELS_DO_NOT_FIT',
    `The label file holds ${labels.length} bytes, but the scan's file has ${expected} ${what}; one byte each is expected.`,
  );
}
