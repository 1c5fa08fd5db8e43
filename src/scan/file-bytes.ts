/** A file of which one stretch at a time lies in memory. */
export interface Stretches {
  /** Bytes of the whole file. */
  readonly length: number;
  /**
   * The bytes from `from` up to `to`, both within the file; valid until the next call.
   * @throws ArchgapError input `FILE_CHANGED` when the file was written to since it was opened
   */
  read(from: number, to: number): Uint8Array;
}

/** A file whole in memory, or read stretch by stretch. */
export type FileBytes = Uint8Array | Stretches;

/** Such a file that knows its fingerprint. */
export interface OpenFile extends Stretches {
  /** SHA-256 of the whole file, lower-case hexadecimal. */
  sha256(): string;
}

/** A stretch of a file; valid until the next one is asked for. */
export function stretchOf(file: FileBytes, from: number, to: number): Uint8Array {
  return file instanceof Uint8Array ? file.subarray(from, to) : file.read(from, to);
}
