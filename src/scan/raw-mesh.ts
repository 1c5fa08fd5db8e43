import { inputError } from '../geometry/archgap-error.ts';
import { type FileBytes, stretchOf } from './file-bytes.ts';
import { formatCount } from './format-count.ts';
import { LARGEST_COUNT } from './limits.ts';
import type { HealthFinding, ScanFormat } from './types.ts';

/** What a reader found in a file, before any check that does not depend on the format. */
export interface RawMesh {
  readonly format: ScanFormat;
  /** (n x 3) in the file's unit and frame; 64-bit where the file carries more than 32-bit floats do. */
  readonly positions: Float32Array | Float64Array;
  /** (m x 3) indices below n, checked by the reader; null when every three positions are a triangle. */
  readonly triangles: Uint32Array | null;
  /**
   * Given when the file stores loose triangles and the reader joined their corners: per position, the first corner of
   * the file (three a triangle) that lay there. No two positions are then equal, and none has a -0.
   */
  readonly firstCorner?: Uint32Array;
  /** (n x 3) RGB 0-255. */
  readonly colors: Uint8Array | null;
  /** Free text of the header, where a unit may be named. */
  readonly headerText: string;
  /** What the reader noticed and the user should know, the data being complete. */
  readonly findings: readonly HealthFinding[];
}

/** "1 triangle", "2 triangles". */
export function plural(count: number, noun: string): string {
  return `${formatCount(count)} ${noun}${count === 1 ? '' : 's'}`;
}

/**
 * Refuses more than this tool takes, before anything is allocated.
 *
 * @throws ArchgapError input `TOO_MANY_TRIANGLES`
 */
export function refuseHugeCount(count: number, noun: string): void {
  if (count <= LARGEST_COUNT) return;
  throw inputError(
    'TOO_MANY_TRIANGLES',
    `The file holds ${plural(count, noun)}; at most ${formatCount(LARGEST_COUNT)} can be read. Reduce the scan first.`,
  );
}

/** The finding for complete data that is followed by something more. */
export function trailingBytes(count: number): HealthFinding {
  return {
    code: 'TRAILING_BYTES',
    severity: 'warning',
    sentence: `${plural(count, 'byte')} after the end of the data ${count === 1 ? 'was' : 'were'} left out; the data before is complete by the file’s own counts.`,
    count,
  };
}

/** Bytes of padding looked at together: there may be as much of it as of anything else. */
const PADDING_STRETCH = 1 << 18;

/** Whether the bytes from `start` on are all zero: padding that some writers append. */
export function isPadding(file: FileBytes, start: number): boolean {
  for (let from = start; from < file.length; from += PADDING_STRETCH) {
    const stretch = stretchOf(file, from, Math.min(from + PADDING_STRETCH, file.length));
    for (let i = 0; i < stretch.length; i++) if (stretch[i] !== 0) return false;
  }
  return true;
}
