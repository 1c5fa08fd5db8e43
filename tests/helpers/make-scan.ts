import { runAtOnce } from '../../src/geometry/steps.ts';
import { buildScan } from '../../src/scan/build-scan.ts';
import type { LengthUnit, Scan } from '../../src/scan/types.ts';

export interface MakeScanOptions {
  readonly colors?: Uint8Array | null;
  readonly fileName?: string;
  /** Unit of the positions; millimetres when left out. */
  readonly unit?: LengthUnit;
}

/**
 * A scan as the reader would make it (welded, checked, in mm) from arrays, without a file: its fingerprint is all
 * zeros and its byte length 0.
 *
 * @param positions - (n x 3)
 * @param triangles - (m x 3)
 */
export function makeScanFromArrays(
  positions: Float32Array | Float64Array,
  triangles: Uint32Array,
  options: MakeScanOptions = {},
): Scan {
  const { colors = null, fileName = 'made-in-a-test.ply', unit = 'mm' } = options;
  const raw = {
    format: 'ply-binary-le',
    positions,
    triangles,
    colors,
    headerText: '',
    findings: [],
  } as const;
  return runAtOnce(buildScan(raw, { fileName, byteLength: 0, sha256: '0'.repeat(64), unit }));
}
